"""Works the moving preview as a person would, in a browser: views_moving.py FOLDER.

FOLDER holds pages (NAME.html). Each is opened in the size of a desk and of a telephone, with and without the wish
for less motion; its keys are pressed and its slider is moved. Needs chromium. Ends with 1 if anything is off.
"""

import html
import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

SIZES = ("1280,800", "390,844")

# Runs after the page's own script and leaves what it saw in the page.
HAND = """<script>
const seen = {};
const press = (key, shiftKey = false) => document.dispatchEvent(new KeyboardEvent("keydown", { key, shiftKey, cancelable: true }));
const ink = () => { const d = pen.getImageData(0, 0, canvas.width, canvas.height).data; let n = 0; for (let i = 0; i < d.length; i += 4) if (d[i] < 140 && d[i + 3] > 200) n++; return n; };
seen.startsStill = !playing;
seen.startsAt = Number(slider.value);
press("Home"); seen.home = Number(slider.value); seen.inkHome = ink();
press("ArrowRight"); seen.right = Number(slider.value);
press("ArrowRight", true); seen.farRight = Number(slider.value);
press("ArrowLeft"); seen.left = Number(slider.value);
press("End"); seen.end = Number(slider.value); seen.inkEnd = ink();
slider.value = 70; slider.dispatchEvent(new Event("input")); seen.inkBack = ink();
slider.value = 7; slider.dispatchEvent(new Event("input")); seen.slid = get("stitch").textContent;
seen.valueText = slider.getAttribute("aria-valuetext");
press(" "); seen.plays = playing; seen.pressed = button.getAttribute("aria-pressed");
press(" "); seen.stops = !playing;
seen.total = total;
seen.wide = document.documentElement.scrollWidth; seen.window = window.innerWidth;
seen.cloth = canvas.getBoundingClientRect().right;
seen.label = canvas.getAttribute("aria-label").length;
seen.loaded = performance.getEntriesByType("resource").length;
const note = document.createElement("pre"); note.id = "seen"; note.textContent = JSON.stringify(seen); document.body.append(note);
</script></body>"""

problems = []


def check(ok, words):
    if not ok:
        problems.append(words)
        print(f"  OFF: {words}")


def work(path, size, still):
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / path.name
        page.write_text(path.read_text().replace("</body>", HAND))
        command = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", f"--window-size={size}", "--dump-dom"]
        command += ["--force-prefers-reduced-motion"] if still else []
        dom = subprocess.run([*command, page.as_uri()], check=True, capture_output=True, text=True).stdout
    found = re.search(r'<pre id="seen">(.*?)</pre>', dom, re.S)
    check(found, f"{path.name} at {size}: its script stopped")
    return json.loads(html.unescape(found[1])) if found else None


def measure(path):
    for size in SIZES:
        for still in (True, False):
            seen = work(path, size, still)
            if seen is None:
                continue
            name, total = f"{path.name} at {size}{', still' if still else ''}", seen["total"]
            check(seen["startsStill"] == still, f"{name}: it {'moves' if still else 'stands'} at first")
            check(seen["startsAt"] == (total if still else 0), f"{name}: it starts at stitch {seen['startsAt']}")
            keys = [seen[k] for k in ("home", "right", "farRight", "left", "end")]
            check(keys == [0, 1, 51, 50, total], f"{name}: the keys lead to {keys}")
            check(seen["slid"].startswith("stitch 7 of") and "stitch 7 of" in seen["valueText"], f"{name}: {seen['slid']}")
            check(seen["plays"] and seen["pressed"] == "true" and seen["stops"], f"{name}: the space bar does nothing")
            check(seen["inkHome"] < seen["inkBack"] < seen["inkEnd"], f"{name}: thread shown {seen['inkHome']}, {seen['inkBack']}, {seen['inkEnd']}")
            check(max(seen["wide"], seen["cloth"]) <= seen["window"], f"{name}: wider than its window")
            check(seen["label"] > 20 and seen["loaded"] == 0, f"{name}: no label, or it loads something")
    print(f"{path.name}: {total} stitches, worked in {len(SIZES)} sizes")


def main():
    pages = sorted(Path(sys.argv[1]).rglob("*.html"))
    check(bool(pages), f"nothing to look at in {sys.argv[1]}")
    for path in pages:
        measure(path)
    print(f"{len(pages)} pages, {len(problems)} off")
    sys.exit(1 if problems else 0)


main()
