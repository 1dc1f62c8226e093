"""Works the page as a person would, in a browser: page_browser.py PROGRAM [FOLDER].

PROGRAM is the built program; pictures of what was seen go to FOLDER, if one is named. Flows: an odd block's feather and
its machine file, equal to the command's byte for byte, and the design on a photo; a gap that is too wide, closed; the
example quilt, ticked at the machine; a small quilt with odd blocks of two shapes, a border on three sides, a motif in its
corners, drawings of her own and ticks that go with what changes; a machine file checked and made anew; the first flow by
keyboard alone; every width, light and dark; the time from a slider's move to the new picture, over every motif. In each:
no message on the console, no serious fault of accessibility. Ends with 1 if anything is off.
"""

import json
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright

PROGRAM = Path(sys.argv[1]).resolve()
PICTURES = Path(sys.argv[2]) if len(sys.argv) > 2 else None
SIDES = {"Bottom": "8 1/8in", "Right": "8in", "Top": "7 7/8in", "Left": "8 1/16in", "Diagonal": "11 3/8in"}
COMMAND = ["block", "--sides", "8 1/8in, 8in, 7 7/8in, 8 1/16in", "--diagonal", "11 3/8in", "--hoop", "200x200mm", "feather-wreath"]
SIZES = [(390, 844), (1100, 750), (1600, 1000), (2560, 1440)]
# A move may take this long until its picture stands, ms: the median of all motifs, and the slowest motif's own median.
MEDIAN_MS, SLOWEST_MS = 50, 100

SMALL_QUILT = """title = "Small"
[machine]
hoops = ["200 x 200 mm"]
formats = ["dst"]
[top]
setting = "straight"
rows = 1
columns = 2
block = "6in"
[[piece]]
where = "blocks"
motif = "flower"
[[border]]
width = "3in"
motif = "piano-keys"
"""
KETTLE = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" fill="none" stroke="black">
<path d="M10 50 C10 0 90 0 90 50 C90 100 10 100 10 50 Z"/><path d="M90 50 L10 50"/></svg>"""

PHOTO = b'<svg xmlns="http://www.w3.org/2000/svg" width="400" height="300"><rect width="400" height="300" fill="#d9cdb4"/></svg>'

axe = Axe()
problems = []


def check(ok, words):
    if not ok:
        problems.append(words)
        print(f"  OFF: {words}")


def free_port():
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return s.getsockname()[1]


class Seen:
    """A page that is watched: its console, its faults of accessibility."""

    def __init__(self, browser, base, width=1200, height=800, dark=False):
        context = browser.new_context(viewport={"width": width, "height": height}, color_scheme="dark" if dark else "light", accept_downloads=True)
        self.page = context.new_page()
        self.page.set_default_timeout(60_000)
        self.said = []
        self.page.on("console", lambda m: m.type in ("error", "warning") and self.said.append(m.text))
        self.page.on("pageerror", lambda e: self.said.append(str(e)))
        self.page.goto(base)
        self.page.wait_for_selector(".start")

    def look(self, name):
        """No serious fault, nothing wider than the window; keeps a picture."""
        page = self.page
        page.wait_for_timeout(100)
        found = axe.run(page, options={"resultTypes": ["violations"]}).response["violations"]
        grave = [f"{v['id']} ({v['nodes'][0]['html'][:90]})" for v in found if v["impact"] in ("serious", "critical")]
        check(not grave, f"{name}: accessibility: {'; '.join(grave)}")
        wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        check(wide <= 0, f"{name}: {wide} px wider than the window")
        if PICTURES:
            page.screenshot(path=PICTURES / f"{name}.png")

    def close(self, name):
        check(not self.said, f"{name}: on the console: {self.said[:3]}")
        self.page.context.close()


def measure_odd_block(page):
    page.get_by_text("One block", exact=True).click()
    page.get_by_role("button", name="Not quite square").click()
    for words, length in SIDES.items():
        page.get_by_label(words).first.fill(length)
    page.get_by_role("button", name="Choose a motif").click()
    page.get_by_role("button", name="Feather wreath").click()
    page.wait_for_selector(".view .drawing .line")


def download(page, words):
    with page.expect_download() as held:
        page.get_by_role("button", name=words).click()
    return held.value.suggested_filename, Path(held.value.path()).read_bytes()


def odd_block(browser, base, folder):
    seen = Seen(browser, base)
    page = seen.page
    seen.look("first")
    measure_odd_block(page)
    page.get_by_role("button", name="which hoop?").click()
    page.get_by_role("radio", name="200 × 200 mm").check()
    page.get_by_role("button", name="Done").click()
    seen.look("block")
    page.get_by_role("radio", name="As quilted cloth").check()
    page.wait_for_selector(".view image")
    page.get_by_role("button", name="On my photo").click()
    page.locator(".opened input[type=file]").set_input_files({"name": "photo.svg", "mimeType": "image/svg+xml", "buffer": PHOTO})
    page.wait_for_selector(".onphoto .line")
    lies = page.evaluate("['.onphoto .outline', '.photo img'].map(at => { const { x, y, width, height } = document.querySelector(at).getBoundingClientRect(); return [x, y, width, height]; })")
    share = [(lies[0][i] - lies[1][i]) / lies[1][i + 2] for i in (0, 1)] + [lies[0][i] / lies[1][i] for i in (2, 3)]
    # The box round the block is wider than it by as much as it leans, a fortieth.
    check(all(abs(a - b) < 1 / 40 for a, b in zip(share, [0.2, 0.2, 0.6, 0.6])), f"the block does not lie between its corners on the photo: {share}")
    seen.look("photo")
    page.get_by_role("button", name="Done").click()
    page.get_by_role("button", name="To the machine").click()
    seen.look("to-the-machine")
    name, made = download(page, "The machine file alone")
    subprocess.run([PROGRAM, *COMMAND, "--out", folder], check=True, capture_output=True)
    command = folder / name
    check(command.exists(), f"the command writes no {name}")
    check(command.exists() and command.read_bytes() == made, f"{name} is not the command's, byte for byte")
    name, zipped = download(page, "Everything, one zip")
    check(zipped[:2] == b"PK" and name.endswith(".zip"), f"{name} is no zip")
    address, sentence = page.url, page.inner_text("h1")
    page.reload()
    page.wait_for_selector(".view .drawing .line")
    check(page.inner_text("h1") == sentence, "a reload changes the sentence")
    other = browser.new_context().new_page()
    other.goto(address)
    other.wait_for_selector(".view .drawing .line")
    check(other.inner_text("h1") == sentence, "the address alone does not hold the design")
    other.context.close()
    page.keyboard.press("Escape")
    page.keyboard.press("Control+z")
    page.wait_for_timeout(300)
    check("which hoop?" in page.inner_text("h1"), "Undo does not take the hoop back")
    page.keyboard.press("Control+Shift+z")
    page.wait_for_timeout(300)
    check(page.inner_text("h1") == sentence, "Redo does not bring the hoop again")
    seen.close("odd block")


def quilt(browser, base):
    seen = Seen(browser, base)
    page = seen.page
    page.get_by_text("A whole quilt", exact=True).click()
    seen.look("quilt-first")
    page.get_by_role("button", name="Show me an example").click()
    page.wait_for_selector(".map", timeout=240_000)
    seen.look("quilt")
    page.get_by_role("button", name="Sew hooping 1", exact=True).click()
    page.wait_for_selector(".mdone")
    seen.look("at-the-machine")
    for _ in range(3):
        page.locator("body").press(" ")
        page.wait_for_timeout(100)
    check(page.inner_text(".mnumber") == "4", f"three ticks lead to hooping {page.inner_text('.mnumber')}")
    page.reload()
    page.wait_for_selector(".mnumber, .sofar", timeout=240_000)
    if page.locator(".mhead .plain").count():
        page.locator(".mhead .plain").first.click()
    page.wait_for_selector(".sofar")
    check(page.inner_text(".sofar b").startswith("3 of "), f"after a reload: {page.inner_text('.sofar b')}")
    with page.expect_download(timeout=240_000) as held:
        page.get_by_role("button", name="To carry to a tablet").click()
    carried = browser.new_context().new_page()
    faults = []
    carried.on("pageerror", lambda e: faults.append(str(e)))
    path = Path(held.value.path())
    copy = path.with_suffix(".html")
    copy.write_bytes(path.read_bytes())
    carried.goto(copy.as_uri())
    carried.get_by_role("button", name="Sew hooping 1", exact=True).click()
    check(carried.inner_text(".mnumber") == "1", "the page to carry does not show hooping 1")
    check(not faults, f"the page to carry: {faults[:2]}")
    carried.context.close()
    seen.close("quilt")


def open_work(seen, work):
    """Goes to the address that holds a work."""
    seen.page.evaluate("work => { location.hash = btoa(JSON.stringify(work)); }", work)
    seen.page.wait_for_timeout(100)
    seen.page.reload()


def evened(browser, base):
    """Lines too far apart for the batting: the page says so, and closes the gap when asked."""
    seen = Seen(browser, base)
    page = seen.page
    open_work(seen, {"doing": "block", "design": {"motif": "cross-hatch", "shape": {"option": "square", "value": "9in"}, "settings": {"spacing": "3in"}}})
    page.locator(".mind", has_text="widest gap").click()
    page.get_by_role("button", name="Close the gap").click()
    page.wait_for_selector(".mind:has-text('widest gap')", state="detached")
    check("--" not in page.inner_text("body"), "the page speaks in options of the command")
    seen.close("evened out")


def small_quilt(browser, base):
    seen = Seen(browser, base)
    page = seen.page
    open_work(seen, {"doing": "quilt", "toml": SMALL_QUILT})

    def planned(words):
        page.wait_for_timeout(300)
        for sign in (".map.busy", ":text('being planned')"):
            page.wait_for_selector(sign, state="detached")
        check(page.locator(".wrong").count() == 0, f"small quilt: {words}: {page.locator('.wrong').all_inner_texts()}")

    def has(words, what):
        for _ in range(100):
            if words in page.evaluate("JSON.parse(localStorage['thrice.work']).toml"):
                return
            page.wait_for_timeout(100)
        check(False, f"{what} is not in the quilt file")

    page.wait_for_selector(".map")
    planned("opened")
    page.get_by_role("button", name="Sew hooping 1", exact=True).click()
    page.wait_for_selector(".mdone")
    page.locator("body").press(" ")
    page.locator(".mhead .plain").first.click()
    page.wait_for_selector(".sofar")
    page.locator(".sentence .phrase").nth(1).click()
    page.get_by_role("button", name="Each side by itself").click()
    page.wait_for_selector(".oneborder legend")
    page.locator("fieldset.oneborder").get_by_label("Left").fill("0")
    page.locator("fieldset.oneborder").get_by_label("Left").press("Tab")
    has('width = "3in, 3in, 3in, 0in"', "the side of a border")
    planned("a border on three sides")
    check(page.inner_text(".sofar b").startswith("1 of "), f"the tick of a block that stays is lost: {page.inner_text('.sofar b')}")
    page.get_by_role("button", name="Measure one").click()
    def measure(texts):
        for name, text in texts.items():
            page.locator(f".oddfields input[name={name}]").fill(text)

    measure({"row": "1", "column": "2", "bottom": "6 1/8in", "right": "6in", "top": "6in", "left": "6 1/16in", "diagonal": "8 1/2in"})
    page.wait_for_selector(".mapside .diagram")
    page.get_by_role("button", name="Put it in").click()
    page.wait_for_selector(".oddone")
    has('diagonal = "8 1/2in"', "the odd block")
    has("at = [1, 2]", "its place")
    planned("an odd block")
    page.locator(".oddone").get_by_role("button", name="Change").click()
    page.locator(".oddfields").get_by_role("button", name="What shape is it?").click()
    page.get_by_role("button", name="Rectangle").click()
    measure({"across": "5 7/8in", "up": "6in"})
    page.get_by_role("button", name="Put it in").click()
    has('rectangle = "5 7/8in, 6in"', "the odd block of another shape")
    planned("an odd block of another shape")
    check("diagonal" not in page.evaluate("JSON.parse(localStorage['thrice.work']).toml"), "the measures of the shape before stay in the quilt file")
    seen.look("small-quilt-layout")
    page.get_by_role("button", name="Done").click()
    page.locator(".place").first.click()
    page.get_by_role("button", name="a quarter", exact=True).click()
    has("turn = 90", "the turn")
    planned("turned")
    page.locator(".own input[type=file]").set_input_files({"name": "kettle.svg", "mimeType": "image/svg+xml", "buffer": KETTLE})
    page.wait_for_selector(".galleryhead:has-text('kettle')")
    has('drawing = "kettle.svg"', "the drawing")
    page.get_by_role("button", name="Back to the quilt").click()
    page.locator(".place", has_text="Border").click()
    page.get_by_role("button", name="a square of its own").click()
    has('corner = "square"', "the corner of the border")
    planned("a border with corner squares")
    page.get_by_role("button", name="What lies in its corners?").click()
    page.locator(".card", has_text="Flower").first.click()
    has('corner-motif = "flower"', "the motif of the corners")
    planned("a motif in the corners")
    page.get_by_role("button", name="Back to the border").click()
    page.locator(".own input[type=file]").set_input_files({"name": "kettle.svg", "mimeType": "image/svg+xml", "buffer": KETTLE})
    page.get_by_label("How long is one repeat?").fill("3in")
    page.get_by_label("How long is one repeat?").press("Tab")
    has('repeat = "3in"', "the repeat of a drawing along the border")
    planned("a drawing along the border")
    page.get_by_role("button", name="Back to the quilt").click()
    page.wait_for_selector(".aside:has-text('no longer what the plan has')")
    seen.look("small-quilt")
    page.reload()
    page.wait_for_selector(".map")
    planned("a reload")
    other = Seen(browser, base)
    other.page.goto(page.url)
    other.page.reload()
    other.page.locator("label:has-text('kettle.svg') input").set_input_files({"name": "kettle.svg", "mimeType": "image/svg+xml", "buffer": KETTLE})
    other.page.wait_for_selector(".map")
    other.page.context.close()
    seen.close("small quilt")


def dropped(browser, base, folder):
    seen = Seen(browser, base)
    page = seen.page
    made = next(folder.glob("*.dst"))
    page.set_input_files("input[type=file]", made)
    page.wait_for_selector(".filepicture svg")
    check(len(page.inner_text(".opened .question")) > 10, "no verdict on the dropped file")
    seen.look("dropped")
    page.get_by_role("button", name="Does it fit another block?").click()
    page.get_by_role("button", name="What shape is it?").click()
    page.get_by_role("button", name="Hexagon").click()
    page.get_by_role("button", name="What shape is it? hexagon").wait_for()
    page.get_by_label("One side").fill("5in")
    page.get_by_label("One side").press("Tab")
    for _ in range(50):
        page.wait_for_selector(".filepicture.drawing .line")
        corners = page.eval_on_selector(".filepicture.drawing .outline", "path => path.getTotalLength()")
        if abs(corners - 6 * 127) < 1:
            break
        page.wait_for_timeout(100)
    else:
        check(False, f"made anew, the hexagon is {corners:.1f} mm round")
    seen.look("made-anew")
    seen.close("dropped file")


def keyboard(browser, base):
    """From the first question to a motif and a changed setting without a pointer."""
    seen = Seen(browser, base)
    page = seen.page

    def reach(what, most=90):
        for _ in range(most):
            page.keyboard.press("Tab")
            if what in page.evaluate("(document.activeElement.getAttribute('aria-label') ?? '') + ' ' + document.activeElement.textContent + ' ' + (document.activeElement.type ?? '')"):
                return True
        check(False, f"Tab does not reach {what}")
        return False

    reach("One block") and page.keyboard.press("Enter")
    reach("Square") and page.keyboard.press("Enter")
    page.wait_for_timeout(300)
    check(page.evaluate("document.activeElement.name") == "side", "the field of the chosen shape does not get the focus")
    page.keyboard.type("8")
    page.keyboard.press("Enter")
    page.wait_for_selector(".card")
    page.wait_for_timeout(500)
    reach("Feather wreath") and page.keyboard.press("Enter")
    page.wait_for_selector(".view .drawing .line")
    page.wait_for_selector("input[type=range]")
    before = page.inner_text(".stepper output")
    reach("range")
    page.keyboard.press("ArrowLeft")
    page.wait_for_timeout(300)
    check(page.inner_text(".stepper output") != before, "an arrow does not move the slider")
    page.keyboard.press("Control+z")
    page.wait_for_timeout(300)
    check(page.inner_text(".stepper output") == before, "Ctrl+Z does not take the step back")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    check(outline == "dashed", f"the focus shows as {outline}")
    seen.close("keyboard")


MOVES = """async () => {
  const input = document.querySelector('input[type=range]');
  const line = () => document.querySelector('.view .drawing .line');
  const took = [];
  const last = Number(input.max);
  for (let i = 0; i < 9; i++) {
    const before = line();
    const at = Math.round((last * ((i * 5) % 9)) / 8);
    if (String(at) === input.value) continue;
    const began = performance.now();
    input.value = String(at);
    input.dispatchEvent(new Event('input', { bubbles: true }));
    while (line() === before && performance.now() - began < 3000) await new Promise(requestAnimationFrame);
    if (line() !== before) took.push(performance.now() - began);
  }
  return took;
}"""


def speed(browser, base):
    """The time from a slider's move to its picture, for every motif with a slider."""
    motifs = json.load(urllib.request.urlopen(f"{base}api/start"))["motifs"]
    medians = {}
    for motif in motifs:
        seen = Seen(browser, base)
        design = {"shape": {"option": "square", "value": "8in"}, "motif": motif["name"]}
        if "square" not in motif["suits"] and "any shape" not in motif["suits"]:
            design["shape"] = {"option": "half-square", "value": "8in"} if motif["suits"] == ["triangle"] else {"option": "strip", "value": "5in, 20in"}
        open_work(seen, {"doing": "block", "design": design})
        try:
            seen.page.wait_for_selector(".slide figure .little svg", timeout=20_000)
            seen.page.wait_for_timeout(300)
            took = seen.page.evaluate(MOVES)
        except Exception:
            took = []
        if took:
            medians[motif["name"]] = statistics.median(took)
        seen.close(f"slider of {motif['name']}")
    slow = max(medians, key=medians.get)
    middle = statistics.median(medians.values())
    print(f"  slider to picture over {len(medians)} motifs: median {middle:.0f} ms, slowest {slow} {medians[slow]:.0f} ms")
    check(middle <= MEDIAN_MS, f"a slider's move takes {middle:.0f} ms, more than {MEDIAN_MS}")
    check(medians[slow] <= SLOWEST_MS, f"{slow} takes {medians[slow]:.0f} ms, more than {SLOWEST_MS}")


def sizes(browser, base):
    """The first flow and what it leads to at every width, light and dark; the page follows the window."""
    seen = Seen(browser, base, *SIZES[0])
    page = seen.page
    measure_odd_block(page)
    for view in ("block", "motifs"):
        if view == "motifs":
            page.get_by_role("button", name="Another motif").click()
            page.wait_for_selector(".card .little svg")
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            for scheme in ("light", "dark"):
                page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
                if PICTURES and view == "motifs":
                    page.wait_for_timeout(1000)
                seen.look(f"{width}-{scheme}-{view}")
    seen.close("sizes")


def main():
    if PICTURES:
        PICTURES.mkdir(parents=True, exist_ok=True)
    port = free_port()
    server = subprocess.Popen([PROGRAM, "page", "--no-open", "--port", str(port)], stdout=subprocess.DEVNULL)
    base = f"http://127.0.0.1:{port}/"
    try:
        for _ in range(100):
            try:
                urllib.request.urlopen(base)
                break
            except OSError:
                time.sleep(0.1)
        with sync_playwright() as play, tempfile.TemporaryDirectory() as folder:
            browser = play.chromium.launch(executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium"), args=["--no-sandbox"])
            folder = Path(folder)
            flows = {
                "odd block": lambda: odd_block(browser, base, folder),
                "evened out": lambda: evened(browser, base),
                "quilt": lambda: quilt(browser, base),
                "small quilt": lambda: small_quilt(browser, base),
                "dropped file": lambda: dropped(browser, base, folder),
                "keyboard": lambda: keyboard(browser, base),
                "sizes": lambda: sizes(browser, base),
                "speed": lambda: speed(browser, base),
            }
            # How quick a slider is depends on the machine: it is measured when asked for, FLOWS=speed.
            asked = os.environ.get("FLOWS", "").split(",") if os.environ.get("FLOWS") else [f for f in flows if f != "speed"]
            for name in asked:
                print(f"{name}:", flush=True)
                began = time.monotonic()
                try:
                    flows[name]()
                except Exception as error:
                    check(False, f"{name}: {(str(error) or repr(error)).splitlines()[0]}")
                print(f"  {time.monotonic() - began:.0f} s")
            browser.close()
    finally:
        server.terminate()
        server.wait(10)
    print("as it should be" if not problems else f"{len(problems)} things off")
    sys.exit(bool(problems))


main()
