"""What is printed is what sews: printed.py PROGRAM FOLDER.

PROGRAM is the built program. It is asked for the demo, for the ten quilts below and for some single blocks, all written
into FOLDER, which is emptied first. Every machine file is decoded here by the format's table of bits. For each of a block:

- its template: the trace box is as wide and as high as the stitches, within 0.2 mm, and lies as they lie from the cross;
  the first needle point lies where the needle first goes down; every point of the drawn design is a needle hole; the
  arrow points up the page, which is up in the file; the words say whether it is turned and which field it was held against;
- its report: bounds, centre, turn and hoop are those of the file, and it fits the hoop's field as that is mounted;
- the fingerprint in its report, on its template and on its preview is that of its stitches;
- its preview: the drawn thread is as wide and as high as the stitches.

A quilt has one book of templates for all its hoopings. Its pages are told apart by their words: number, file, fingerprint, sheet.
A page may be for several hoopings that look the same; it is judged for each. Each bears its number, and how crooked is too crooked.
For every hooping of the plan:

- all its pages are there, and the sewing sheet names the first; together they show every needle hole;
- every page is judged as the template of a block is; the design, the traced box in words and in figures, and the room to the
  edge of the field are those of the file, which fits the hoop's field as that is mounted;
- the seams on the page are the patches of the plan, laid by the hooping's centre and turn; the words say which edge or corner
  is up at that turn, and an arrow points to the quilt's top edge; of several sheets the words say where each lies; the grey lines round it are needle holes of other hoopings, laid by theirs;
- the fingerprint on the page, in the plan and on the sewing sheet is that of the file's stitches.

Every machine file of a quilt is in a hooping. A piece that is sewn alone has a machine file by its fingerprint, and its report
and preview are judged against it; the preview of any other against its report.

At least 20 files are turned and 20 are not: a block by its report, a quilt's by a hooping with the quilt a quarter turn round. A
template read against the file of a turned design turned back has to be noticed, or the reading is worth nothing.
Needs pypdf. Ends with 1 if anything is off.
"""

import json
import math
import re
import shutil
import subprocess
import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from pypdf import PdfReader

WITHIN = 0.2
# Half of the machine's step: the middle of an odd number of steps is not a point of its grid.
HALF_STEP = 0.0501
CLEARANCE = 1.0
# A stitch of a preview is drawn so much short of its needle hole at each end, to be seen as a stitch of its own.
STITCH_GAP = 0.3
MM = 25.4 / 72
TRACE_DASH = "5 1 0.9 1"
FIELD_DASH = "0.9 1.1"
BLUE = "0.043 0.361 0.541"
INK = "0.145 0.165 0.192"
GREY = "0.804 0.753 0.667"

HEAD = 'title = "{title}"\nshow = "{show}"\n[machine]\nhoops = [{hoops}]\n[stitch]\ntravel = false\n'
# Title, unit shown, hoops, and what lies where: each small, and most with pieces that fit their hoop only turned.
QUILTS = [
    ("Triangles", "in", ["200 x 300 mm"],
     '[top]\nsetting = "on point"\nrows = 2\ncolumns = 2\nblock = "8in"\n[[piece]]\nwhere = "blocks"\nmotif = "orange-peel"\n'
     '[[piece]]\nwhere = "side triangles"\nmotif = "cross-hatch"\n[[piece]]\nwhere = "corner triangles"\nmotif = "grid"\n'),
    ("Wide Blocks", "mm", ["180 x 250 mm"],
     '[top]\nsetting = "straight"\nrows = 2\ncolumns = 1\nblock = "9in,6in"\n[[piece]]\nwhere = "blocks"\nmotif = "stipple"\n'),
    ("Sashes", "in", ["100 x 300 mm", "200 x 200 mm"],
     '[top]\nsetting = "straight"\nrows = 2\ncolumns = 2\nblock = "7in"\nsashing = "2in"\n[[piece]]\nwhere = "blocks"\nmotif = "orange-peel"\n'
     '[[piece]]\nwhere = "sashes"\nmotif = "wave"\n[[piece]]\nwhere = "posts"\nmotif = "cross-hatch"\n'),
    ("Short Border", "in", ["150 x 240 mm"],
     '[top]\nsetting = "straight"\nrows = 1\ncolumns = 2\nblock = "5in"\n[[piece]]\nwhere = "blocks"\nmotif = "grid"\n'
     '[[border]]\nwidth = "3in"\nmotif = "orange-peel"\ncorner = "turn"\n'),
    ("Vine", "mm", ["130 x 180 mm"],
     '[top]\nsetting = "straight"\nrows = 1\ncolumns = 1\nblock = "140mm"\n[[piece]]\nwhere = "blocks"\nmotif = "spiral"\n'
     '[[border]]\nwidth = "100mm"\nmotif = "feather-vine"\ncorner = "square"\n'),
    ("Posts on Point", "in", ["120 x 220 mm", "180 x 300 mm"],
     '[top]\nsetting = "on point"\nrows = 2\ncolumns = 1\nblock = "6in"\nsashing = "1 1/2in"\n[[piece]]\nwhere = "blocks"\nmotif = "dogwood"\n'
     '[[piece]]\nwhere = "side triangles"\nmotif = "clamshell"\n[[piece]]\nwhere = "corner triangles"\nmotif = "stipple"\n'
     '[[piece]]\nwhere = "sashes"\nmotif = "cross-hatch"\n'),
    ("One Came Out Long", "in", ["180 x 300 mm"],
     '[top]\nsetting = "straight"\nrows = 1\ncolumns = 2\nblock = "8in,6in"\n[[piece]]\nwhere = "blocks"\nmotif = "cross-hatch"\n'
     '[[odd]]\nname = "the long one"\nsides = "8 1/8in, 6in, 8in, 6 1/16in"\ndiagonal = "10 1/16in"\nat = [1, 2]\n'),
    ("Mitred", "mm", ["130 x 300 mm"],
     '[top]\nsetting = "straight"\nrows = 1\ncolumns = 1\nblock = "100mm"\n[[piece]]\nwhere = "blocks"\nmotif = "heart-ring"\n'
     '[[border]]\nwidth = "70mm"\nmotif = "piano-keys"\ncorner = "mitre"\n'),
    ("Butted", "in", ["110 x 260 mm"],
     '[top]\nsetting = "straight"\nrows = 1\ncolumns = 1\nblock = "4in"\n[[piece]]\nwhere = "blocks"\nmotif = "pumpkin-seed"\n'
     '[[border]]\nwidth = "3in"\nmotif = "hanging-diamonds"\ncorner = "butt"\n'),
    ("Large Blocks in Parts", "in", ["150 x 230 mm"],
     '[top]\nsetting = "straight"\nrows = 1\ncolumns = 1\nblock = "12in"\n[[piece]]\nwhere = "blocks"\nmotif = "cross-hatch"\n'),
]
BLOCKS = [
    "cross-hatch --side-triangle 8in --hoop 200x300mm",
    "grid --side-triangle 8in --hoop 300x200mm --paper a4",
    "feather-vine --strip 4in,11in --hoop 130x300mm",
    "orange-peel --corner-triangle 12in --hoop 220x230mm",
    "meander --rectangle 9in,5in --hoop 150x240mm --start top-left",
    "echo --half-square 6in",
    "spiral --circle 5in --hoop 130x180mm",
]

problems = []
# How much was there to judge, beside the machine files.
counted = Counter()


def check(ok, words):
    if not ok:
        problems.append(words)


# The machine file: which bit of a record's three bytes moves by how many tenths of a millimetre.
MOVES = {
    (0, 7): (0, 1), (0, 6): (0, -1), (0, 5): (0, 9), (0, 4): (0, -9), (0, 3): (-9, 0), (0, 2): (9, 0), (0, 1): (-1, 0), (0, 0): (1, 0),
    (1, 7): (0, 3), (1, 6): (0, -3), (1, 5): (0, 27), (1, 4): (0, -27), (1, 3): (-27, 0), (1, 2): (27, 0), (1, 1): (-3, 0), (1, 0): (3, 0),
    (2, 5): (0, 81), (2, 4): (0, -81), (2, 3): (-81, 0), (2, 2): (81, 0),
}
TABLE = [[(0, 0)] * 256 for _ in range(3)]
for (byte, bit), (dx, dy) in MOVES.items():
    for value in range(256):
        if value >> bit & 1:
            x, y = TABLE[byte][value]
            TABLE[byte][value] = (x + dx, y + dy)


def needle_points(data):
    """Where the needle goes down, in tenths of a millimetre from the file's origin."""
    return [p for run in runs(data) for p in run]


def runs(data):
    """The same, a list for each run between moves without sewing."""
    x, y, all_runs, sewing = 0, 0, [], False
    for i in range(512, len(data) - 2, 3):
        a, b, c = data[i:i + 3]
        if c & 0xF3 == 0xF3:
            break
        x += TABLE[0][a][0] + TABLE[1][b][0] + TABLE[2][c][0]
        y += TABLE[0][a][1] + TABLE[1][b][1] + TABLE[2][c][1]
        if c & 0xC0:
            sewing = False
            continue
        if not sewing:
            all_runs.append([])
        all_runs[-1].append((x, y))
        sewing = True
    return all_runs


SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"


def fingerprint(data):
    """FNV-1a over each run's length and its holes from the first hole, numbers of eight bytes, folded to 40 bits."""
    all_runs = runs(data)
    x, y = all_runs[0][0]
    value = 0xCBF29CE484222325
    for run in all_runs:
        for number in [len(run), *(n for px, py in run for n in (px - x, py - y))]:
            for byte in number.to_bytes(8, "little", signed=True):
                value = (value ^ byte) * 0x100000001B3 % 2**64
    value = (value >> 40 ^ value) % 2**40
    signs = [SIGNS[value >> 5 * i & 31] for i in range(8)]
    return "".join(signs[:4]) + "-" + "".join(signs[4:])


def box_of(points):
    xs, ys = zip(*points)
    return min(xs), min(ys), max(xs), max(ys)


# The template: a page's paths with their pens, in mm on the paper.
# Words in brackets may hold brackets of their own, in pairs, and stand in lists.
STRING = rb"\((?:\\.|[^\\()]|\((?:\\.|[^\\()])*\))*\)"
TOKEN = re.compile(rb"\[(?:" + STRING + rb"|[^\]()])*\]|" + STRING + rb"|<[0-9A-Fa-f]*>|/[^\s/\[\](<]+|[-+.\d]+|[A-Za-z*'\"]+", re.S)


def paths(page):
    matrix, pen, stack, args, out, subs = (1, 0, 0, 1, 0, 0), {"w": 1.0, "d": "", "RG": "", "rg": ""}, [], [], [], []

    def at(x, y):
        a, b, c, d, e, f = matrix
        return ((a * x + c * y + e) * MM, (b * x + d * y + f) * MM)

    for token in TOKEN.findall(page.get_contents().get_data()):
        if token[:1] in b"[(</-+.0123456789":
            args.append(token)
            continue
        op = token.decode()
        n = [float(a) for a in args if a[:1] in b"-+.0123456789"] if op in ("cm", "w", "m", "l", "c", "re", "RG", "rg") else []
        if op == "q":
            stack.append((matrix, dict(pen)))
        elif op == "Q":
            matrix, pen = stack.pop()
        elif op == "cm":
            a, b = n, matrix
            matrix = (a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3], a[2] * b[0] + a[3] * b[2],
                      a[2] * b[1] + a[3] * b[3], a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5])
        elif op == "w":
            pen["w"] = n[0] * math.hypot(matrix[0], matrix[1]) * MM
        elif op == "d":
            pen["d"] = args[0].decode()[1:-1].strip()
        elif op in ("RG", "rg"):
            pen[op] = " ".join(f"{v:.3f}" for v in n)
        elif op == "m":
            subs.append([at(*n)])
        elif op == "l":
            subs[-1].append(at(*n))
        elif op == "c":
            subs[-1].append(at(*n[4:]))
        elif op == "re":
            x, y, w, h = n
            subs.append([at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h), at(x, y)])
        elif op == "h":
            subs[-1].append(subs[-1][0])
        elif op in ("S", "B", "B*", "f", "f*", "n"):
            out.append({**pen, "op": op, "subs": subs, "points": [p for s in subs for p in s]})
            subs = []
        args = []
    return out


def read_template(path):
    """What a template shows, from its cross, mm: trace box, first hole, arrow, points of the design; and its words."""
    reader = PdfReader(path)
    pages = [read_page(paths(page)) for page in reader.pages[1 if len(reader.pages) > 1 else 0:]]
    words = " ".join(reader.pages[0].extract_text().split())
    return {**pages[0], "design": [p for page in pages for p in page["design"]], "words": words}


def read_page(drawn):
    box = next(box_of(p["points"]) for p in drawn if p["op"] == "S" and p["d"] == TRACE_DASH and len(p["points"]) == 5)
    arms = [p["points"] for p in drawn if p["op"] == "S" and abs(p["w"] - 0.45) < 1e-3 and len(p["points"]) == 2 and p["RG"] == BLUE]
    x = next(a[0] for a, b in arms if abs(a[0] - b[0]) < 1e-6)
    y = next(a[1] for a, b in arms if abs(a[1] - b[1]) < 1e-6)
    heads = [p["points"] for p in drawn if p["op"][0] == "f" and p["rg"] == BLUE and len(p["points"]) == 4]
    signs = [box_of(p["points"]) for p in drawn if p["op"][0] == "f" and p["rg"] == BLUE and len(p["points"]) > 4]
    sign = next(b for b in signs if abs(b[2] - b[0] - 2.6) < 0.01)
    # The longest line of that pen: a short one shows in the key what it means.
    lines = [p["points"] for p in drawn if p["op"] == "S" and abs(p["w"] - 0.32) < 1e-3 and not p["d"]]
    design = max(lines, key=len, default=[])
    clips = [box_of(p["points"]) for p in drawn if p["op"] == "n" and p["points"]]
    shown = max(clips, key=lambda b: (b[2] - b[0]) * (b[3] - b[1]), default=(-math.inf, -math.inf, math.inf, math.inf))

    def of_pen(width, ink):
        strokes = [p for p in drawn if p["op"] == "S" and abs(p["w"] - width) < 1e-3 and p["RG"] == ink and not p["d"]]
        return [[(px - x, py - y) for px, py in sub] for p in strokes for sub in p["subs"]]

    fields = [box_of(p["points"]) for p in drawn if p["op"] == "S" and p["d"] == FIELD_DASH and len(p["points"]) == 5]
    # The arrow to the quilt's top edge: from between its fourth and fifth corner to its first.
    arrows = [p["points"] for p in drawn if p["op"][0] == "f" and p["rg"] == INK and len(p["points"]) == 8]
    tops = [(a[0][0] - (a[3][0] + a[4][0]) / 2, a[0][1] - (a[3][1] + a[4][1]) / 2) for a in arrows]
    return {
        "top": tops,
        "shown": (shown[0] - x, shown[1] - y, shown[2] - x, shown[3] - y),
        "seams": of_pen(0.7, INK),
        "grey": of_pen(0.28, GREY),
        "field": [(b[0] - x, b[1] - y, b[2] - x, b[3] - y) for b in fields],
        "trace": (box[0] - x, box[1] - y, box[2] - x, box[3] - y),
        "first": ((sign[0] + sign[2]) / 2 - x, (sign[1] + sign[3]) / 2 - y),
        "arrow": [(px - x, py - y) for px, py in heads[0][:3]] if heads else [],
        "design": [(px - x, py - y) for px, py in design],
    }


def disagreements(name, shown, needle):
    """Where a template draws other than its machine file."""
    wrong = []
    box = [v / 10 for v in box_of(needle)]
    for what, got, want in zip(("left", "bottom", "right", "top"), shown["trace"], box):
        if abs(got - want) > WITHIN:
            wrong.append(f"{name}: the trace box's {what} is at {got:.2f}, the stitches' at {want:.2f}")
    first = [v / 10 for v in needle[0]]
    if math.dist(shown["first"], first) > WITHIN:
        wrong.append(f"{name}: the first needle point is shown at {shown['first']}, it is at {first}")
    tip = max(shown["arrow"], key=lambda p: p[1], default=(0, -1))
    if abs(tip[0]) > WITHIN or tip[1] < 3 or any(p[1] >= tip[1] for p in shown["arrow"] if p != tip):
        wrong.append(f"{name}: the arrow is {shown['arrow']}, not upwards from the cross")
    holes = set(needle)
    astray = [p for p in shown["design"] if not near(p, holes)]
    if astray or not shown["design"]:
        wrong.append(f"{name}: {len(astray)} of {len(shown['design'])} points of the design are no needle holes, such as {astray[:1]}")
    return wrong


def check_words(name, words, turned, hoop):
    """What the template of a block says of its turn and its hoop."""
    check(("turned a quarter turn to the left" in words.lower()) == turned, f"{name}: turned is {turned}, the words say otherwise")
    field = f"Sewing field {hoop[0]:.0f} × {hoop[1]:.0f} mm" if hoop else "Not checked against a hoop"
    check(field in words, f"{name}: `{field}` is not on the template")


def near(p, holes):
    x, y = round(10 * p[0]), round(10 * p[1])
    return any((x + i, y + j) in holes for i in (-1, 0, 1) for j in (-1, 0, 1))


def turned_left(p):
    return (-p[1], p[0])


def check_report(name, report, needle):
    """A report against its machine file."""
    box = [v / 10 for v in box_of(needle)]
    turned, centre = report["turned"], report["centre"]
    check(turned in (0, 90), f"{name}: turned by {turned}")
    middle = turned_left(centre) if turned else centre
    bounds = [report["stitches"]["bounds"][side] for side in ("left", "bottom", "right", "top")]
    for got, want, shift in zip(bounds, box, (*middle, *middle)):
        check(abs(got - want - shift) < 1e-6, f"{name}: bounds {bounds} in the report, {box} in the file about {middle}")
    check(max(abs(box[0] + box[2]), abs(box[1] + box[3])) / 2 <= HALF_STEP, f"{name}: the origin is not the middle of {box}")
    hoop = report["hoop"]
    if hoop is None:
        check(any("Not checked against a hoop" in w["text"] for w in report["warnings"]), f"{name}: no hoop, and no warning of it")
        return None
    spare = [hoop["field"][0] - 2 * CLEARANCE - (box[2] - box[0]), hoop["field"][1] - 2 * CLEARANCE - (box[3] - box[1])]
    check(min(spare) >= -1e-6 and hoop["fits"], f"{name}: {box} is larger than the field {hoop['field']}")
    check(max(abs(a - b) for a, b in zip(spare, hoop["spare"])) < 1e-6, f"{name}: spare {hoop['spare']}, it is {spare}")
    check(hoop["turned"] == bool(turned), f"{name}: hoop.turned is {hoop['turned']}, turned is {turned}")
    return hoop["field"]


def lines_drawn(data):
    """The lines of a path of moves and lines, absolute or relative; nothing for one with curves."""
    x = y = 0.0
    lines, op, start = [], None, (0.0, 0.0)
    tokens = re.findall(r"[A-Za-z]|-?(?:\d+\.?\d*|\.\d+)", data)
    at = 0
    while at < len(tokens):
        if tokens[at].isalpha():
            op = tokens[at]
            at += 1
            if op in "zZ":
                x, y = start
                continue
        if op not in "mMlL":
            return None
        dx, dy = float(tokens[at]), float(tokens[at + 1])
        x, y = (x + dx, y + dy) if op.islower() else (dx, dy)
        at += 2
        if op in "mM":
            start, op = (x, y), "l" if op == "m" else "L"
            lines.append([])
        lines[-1].append((x, y))
    return lines


def sizes_drawn(data):
    """Width and height of the thread of a path; one drawn stitch by stitch has the gap at each end put back."""
    lines = lines_drawn(data)
    if lines is None:
        return None
    if all(len(line) == 2 for line in lines):
        lines = [longer(*line) for line in lines]
    left, bottom, right, top = box_of([p for line in lines for p in line])
    return right - left, top - bottom


def longer(a, b):
    # At most three tenths of a stitch are left out at each end: what is drawn is at least four tenths of it.
    drawn = math.dist(a, b)
    k = min(STITCH_GAP, 0.75 * drawn) / (drawn or math.inf)
    dx, dy = k * (b[0] - a[0]), k * (b[1] - a[1])
    return (a[0] - dx, a[1] - dy), (b[0] + dx, b[1] + dy)


def check_preview(name, svg, needle):
    """The thread of a preview, its longest path, against the machine file."""
    block = svg[svg.index('aria-label="block"'):svg.index('aria-label="caption"')]
    straight = [data for data in re.findall(r'\sd="([^"]+)"', block) if not re.search("[^mMlLzZ\\d\\s.,-]", data)]
    left, bottom, right, top = (v / 10 for v in box_of(needle))
    size = sizes_drawn(max(straight, key=len))
    off = max(abs(size[0] - (right - left)), abs(size[1] - (top - bottom))) if size else math.inf
    check(off <= WITHIN, f"{name}: the preview's thread is {size} mm large, the stitches {right - left:.1f} × {top - bottom:.1f}")


def judge(machine):
    """The files of a block; whether it is turned."""
    name = f"{machine.parent.name}/{machine.stem}"
    data = machine.read_bytes()
    needle, sign = needle_points(data), fingerprint(data)
    report = json.loads(machine.with_suffix(".json").read_text())
    hoop = check_report(name, report, needle)
    shown = read_template(machine.with_suffix(".pdf"))
    turned = report["turned"] == 90
    problems.extend(disagreements(name, shown, needle))
    check_words(name, shown["words"], turned, hoop)
    preview = machine.with_suffix(".svg").read_text()
    check_preview(name, preview, needle)
    for where, words in {"report": report["fingerprint"], "template": shown["words"], "preview": preview}.items():
        check(sign in words, f"{name}: the fingerprint {sign} is not in its {where}")
    if turned:
        back = [(y, -x) for x, y in needle]
        check(len(disagreements(name, shown, back)) > 1, f"{name}: a file turned back is not noticed")
    return turned


HEADING = re.compile(
    r"(?P<number>\d+) file (?P<file>\S+) · fingerprint (?P<sign>\S+) "
    r"(?:· sheet (?P<sheet>\d+) of (?P<of>\d+) \((?P<which>[a-z0-9 ]+)\), to join with the others )?"
    r"(?P<place>.*?)(?:\. Also for hoopings? (?P<also>[\d, –]+), which looks? the same from here\.)? ?"
    r"Hoop (?P<across>\d+) × (?P<up>\d+) mm as mounted; quilt: (?P<lies>[a-z ]+) up\. "
    r"Traced box (?P<box>.*?) across, (?P<high>.*?) up; to the edge of the field (?P<right>.*?) across and (?P<top>.*?) up\."
)
# What points up when the quilt is turned to the left by so many degrees.
UP = {
    0: "top edge", 45: "top right corner", 90: "right edge", 135: "bottom right corner",
    180: "bottom edge", 225: "bottom left corner", 270: "left edge", 315: "top left corner",
}


def turned_by(degrees, p):
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return cos * p[0] - sin * p[1], sin * p[0] + cos * p[1]


class Near:
    """Whether one of many points lies within so many mm of a place."""

    def __init__(self, points, within):
        self.within, self.cells = within, {}
        for p in points:
            self.cells.setdefault((p[0] // within, p[1] // within), []).append(p)

    def __call__(self, p):
        i, j = p[0] // self.within, p[1] // self.within
        around = (self.cells.get((i + a, j + b), ()) for a in (-1, 0, 1) for b in (-1, 0, 1))
        return any(math.dist(p, q) <= self.within for cell in around for q in cell)


def numbers_of(heading):
    """The hoopings that a page is for: its number, and those that share it."""
    numbers = [int(heading["number"])]
    for part in (heading["also"] or "").split(","):
        if part.strip():
            ends = [int(n) for n in part.split("–")]
            numbers += range(ends[0], ends[-1] + 1)
    return numbers


def pages_of(book):
    """The pages of a book of templates by the number of their hooping: page, heading, what is drawn."""
    pages = {}
    for at, page in enumerate(PdfReader(book).pages, 1):
        words = " ".join(page.extract_text().split())
        heading = HEADING.match(words)
        check(heading is not None, f"{book}: page {at} says not whose it is")
        check(re.search(rf"\bpage {at}\b", words) is not None, f"{book}: page {at} does not bear its number")
        check("Too crooked: " in words, f"{book}: page {at} does not say how crooked is too crooked")
        check("to the quilt’s top edge" in words, f"{book}: page {at} does not say where the quilt's top edge is")
        if heading:
            for number in numbers_of(heading):
                pages.setdefault(number, []).append((at, heading, read_page(paths(page))))
    return pages


def check_which(name, own):
    """The words of each sheet of several against where it lies about the cross of the whole."""
    box = [f(shown["shown"][i] for _, _, shown in own) for i, f in enumerate((min, min, max, max))]
    for _, heading, shown in own:
        if not heading["which"]:
            continue
        off = [(shown["shown"][i] + shown["shown"][i + 2] - box[i] - box[i + 2]) / 2 for i in (0, 1)]
        for words, mm in zip((("left", "right"), ("lower", "upper")), off):
            want = None if abs(mm) < 1 else words[mm > 0]
            said = next((w for w in words if w in heading["which"]), None)
            check(said == want, f"{name}: the sheet off by {mm:.0f} mm is called {heading['which']}")


def judge_quilt(folder):
    """A quilt's book of templates against its machine files; the files, and those sewn with a quarter turn."""
    plan = json.loads((folder / "plan.json").read_text())
    data = {path.stem: path.read_bytes() for path in sorted((folder / "machine").glob("*.dst"))}
    needles = {file: needle_points(bytes_) for file, bytes_ in data.items()}
    signs = {file: fingerprint(bytes_) for file, bytes_ in data.items()}
    hoopings = plan["hoopings"]
    check({h["file"] for h in hoopings} == set(data), f"{folder.name}: the plan's files are not those in machine/")
    sheet = " ".join(" ".join(page.extract_text() for page in PdfReader(folder / "sewing-sheet.pdf").pages).split())
    named = {f["name"]: f["fingerprint"] for f in plan["files"]}
    for file, sign in signs.items():
        check(named.get(file) == sign, f"{folder.name}/{file}: the fingerprint is {sign}, in the plan {named.get(file)}")
        check(sign in sheet, f"{folder.name}/{file}: the fingerprint {sign} is not on the sewing sheet")
    pages = pages_of(folder / "templates.pdf")
    check(set(pages) == {h["number"] for h in hoopings}, f"{folder.name}: the book's hoopings are not those of the plan")
    laid = {h["number"]: Near([on_quilt(h, (x / 10, y / 10)) for x, y in needles[h["file"]]], WITHIN) for h in hoopings}
    for hooping in hoopings:
        number, file = hooping["number"], hooping["file"]
        name = f"{folder.name}/{number} {file}"
        own = pages.get(number, [])
        sheets = [int(heading["sheet"] or 1) for _, heading, _ in own]
        check(sheets == list(range(1, int(own[0][1]["of"] or 1) + 1)) if own else False, f"{name}: its pages are the sheets {sheets}")
        # The sheet's rows stand in the order of sewing, a number and a file each.
        row = re.search(rf"\b{number} {file} .*?\bpage (\d+)", sheet)
        check(bool(row and own) and int(row[1]) == own[0][0], f"{name}: the sewing sheet does not name its page")
        others = [holes for other, holes in laid.items() if other != number]
        check_which(name, own)
        for at, heading, shown in own:
            check_page(f"{name}, page {at}", (heading, shown), hooping, (needles[file], signs[file]))
            sharing = [h for h in hoopings if h["number"] in numbers_of(heading)]
            check_around(f"{name}, page {at}", shown, (hooping, sharing), plan["patches"], others)
        check_together(name, [shown for _, _, shown in own], needles[file])
    check_pieces(folder, needles, signs)
    counted["hoopings"] += len(hoopings)
    counted["pages"] += len({at for own in pages.values() for at, _, _ in own})
    counted["hoopings that share a page"] += sum(1 for own in pages.values() if own[0][1]["also"])
    return list(data), {h["file"] for h in hoopings if round(h["quilt_turn_deg"]) % 180 == 90}


def on_quilt(hooping, p):
    x, y = turned_by(-hooping["quilt_turn_deg"], p)
    return hooping["centre"][0] + x, hooping["centre"][1] + y


def in_file(hooping, p):
    x, y = hooping["centre"]
    return turned_by(hooping["quilt_turn_deg"], (p[0] - x, p[1] - y))


def check_page(name, page, hooping, machine):
    """A page of the book against its machine file: what is drawn and what the heading says."""
    (heading, shown), (needle, sign) = page, machine
    problems.extend(disagreements(name, shown, needle))
    check(heading["file"] == hooping["file"], f"{name}: the page says {heading['file']}")
    check(heading["sign"] == sign, f"{name}: the page says {heading['sign']}, the file's fingerprint is {sign}")
    left, bottom, right, top = (v / 10 for v in box_of(needle))
    field, size = hooping["hoop"], (right - left, top - bottom)
    check([round(v) for v in field] == [int(heading["across"]), int(heading["up"])], f"{name}: the page says another hoop than {field}")
    spare = [(f - s) / 2 for f, s in zip(field, size)]
    check(min(spare) >= CLEARANCE - 1e-6, f"{name}: {size} mm is larger than the field {field}")
    for want, words in zip(spare, (heading["right"], heading["top"])):
        said = re.search(r"([\d.]+) mm", words)
        check(said is not None and -WITHIN <= want - float(said[1]) <= 1 + WITHIN, f"{name}: {words} to the edge of the field, it is {want:.2f} mm")
    for want, words in zip(size, (heading["box"], heading["high"])):
        said = re.search(r"([\d.]+) mm", words)
        check(said is not None and abs(float(said[1]) - want) <= WITHIN, f"{name}: the traced box is `{words}`, the stitches' {want:.2f} mm")
    check(max(abs(left + right), abs(bottom + top)) / 2 <= HALF_STEP, f"{name}: the origin is not the middle of the stitches")
    check(len(shown["field"]) == 1, f"{name}: {len(shown['field'])} fields are drawn")
    for drawn in shown["field"]:
        want = (-field[0] / 2, -field[1] / 2, field[0] / 2, field[1] / 2)
        check(all(abs(a - b) <= WITHIN for a, b in zip(drawn, want)), f"{name}: the field is drawn at {drawn}, it is {want}")
    turn = hooping["quilt_turn_deg"] % 360
    up = turned_by(turn, (0, 1))
    check(len(shown["top"]) == 1 and math.dist(up, [v / math.hypot(*shown["top"][0]) for v in shown["top"][0]]) < 0.01,
          f"{name}: the arrow to the quilt's top edge is {shown['top']}, the edge lies {up}")
    check(UP.get(round(turn)) == heading["lies"], f"{name}: the quilt is turned by {turn}, the page says {heading['lies']} up")
    if turn:
        back = [tuple(round(v) for v in turned_by(-turn, p)) for p in needle]
        check(len(disagreements(name, shown, back)) > 1, f"{name}: a file turned back is not noticed")


def check_around(name, shown, whose, patches, others):
    """The seams and the grey lines of a page against the plan and the other machine files; of hoopings that share it, what all have."""
    hooping, sharing = whose
    laid = {h["number"]: [[in_file(h, p) for p in patch["outline"]] for patch in patches] for h in sharing}
    at_corner = Near([p for outline in laid[hooping["number"]] for p in outline], WITHIN)
    of_all = [Near([p for outline in outlines for p in outline], WITHIN) for outlines in laid.values()]
    common = [o for o in laid[hooping["number"]] if all(near_one(p) for near_one in of_all for p in o)]
    corners = [p for outline in common for p in outline]
    # A seam ends at a corner, or where the page does.
    left, bottom, right, top = shown["shown"]
    inside = (left + WITHIN, bottom + WITHIN, right - WITHIN, top - WITHIN)
    astray = [p for sub in shown["seams"] for p in sub if within(inside, *p) and not at_corner(p)]
    check(bool(shown["seams"]) and not astray, f"{name}: {len(astray)} of the seams' points are no corners of patches, such as {astray[:1]}")
    at_seam = Near([p for sub in shown["seams"] for p in sub], WITHIN)
    missing = [p for p in corners if within(inside, *p) and not at_seam(p)]
    check(not missing, f"{name}: {len(missing)} corners of patches are not shown, such as {missing[:1]}")
    grey = [on_quilt(hooping, p) for sub in shown["grey"] for p in sub if within(shown["shown"], *p)]
    astray = [p for p in grey if not any(holes(p) for holes in others)]
    check(not astray, f"{name}: {len(astray)} of {len(grey)} points of the grey lines are sewn by no other hooping, such as {astray[:1]}")
    counted["grey points"] += len(grey)


def check_together(name, pages, needle):
    """All pages of a hooping: none of the design is left out, and it is drawn as large as it is sewn."""
    hidden = [(x, y) for x, y in set(needle) if not any(within(s["shown"], x / 10, y / 10) for s in pages)]
    check(not hidden, f"{name}: {len(hidden)} needle holes are on no page, such as {hidden[:1]}")
    design = [p for shown in pages for p in shown["design"]]
    if not design:
        return
    for got, want in zip(box_of(design), box_of(needle)):
        check(abs(got - want / 10) <= WITHIN, f"{name}: the design is drawn as {box_of(design)}, sewn as {box_of(needle)}")


def within(box, x, y):
    return box[0] <= x <= box[2] and box[1] <= y <= box[3]


def check_pieces(folder, needles, signs):
    """Reports and previews of a quilt's pieces: against the machine file with the fingerprint, if the piece is sewn alone."""
    by_sign = {sign: file for file, sign in signs.items()}
    reports = sorted((folder / "pieces").rglob("*.json"))
    check(bool(reports), f"{folder.name}: no reports of pieces")
    for path in reports:
        name, report, preview = f"{folder.name}/{path.stem}", json.loads(path.read_text()), path.with_suffix(".svg").read_text()
        check(report["fingerprint"] in preview, f"{name}: the fingerprint {report['fingerprint']} is not in its preview")
        file = by_sign.get(report["fingerprint"])
        if file:
            check_report(name, report, needles[file])
            check_preview(name, preview, needles[file])
        else:
            bounds = report["stitches"]["bounds"]
            check_preview(name, preview, [(10 * bounds[a], 10 * bounds[b]) for a, b in (("left", "bottom"), ("right", "top"))])
        counted["pieces with a file" if file else "other pieces"] += 1


def run(words, folder):
    done = subprocess.run(words, cwd=folder, capture_output=True, text=True)
    check(done.returncode == 0, f"{' '.join(words)}: {done.stderr}")


def main():
    program, folder = Path(sys.argv[1]).resolve(), Path(sys.argv[2])
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    jobs = [[program, "quilt", "--demo", "--out", "quilts"]]
    for title, show, hoops, rest in QUILTS:
        path = folder / f"{title.lower().replace(' ', '-')}.toml"
        hoops = ", ".join(f'"{h}"' for h in hoops)
        path.write_text(HEAD.format(title=title, show=show, hoops=hoops) + rest)
        jobs.append([program, "quilt", path.name, "--out", "quilts"])
    jobs += [[program, "block", *words.split(), "--out", "blocks"] for words in BLOCKS]
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(lambda words: run([str(w) for w in words], folder), jobs))
    judge_all(folder)


def judge_all(folder):
    blocks = sorted((folder / "blocks").rglob("*.dst"))
    check(len(blocks) == len(BLOCKS), f"{len(blocks)} machine files of {len(BLOCKS)} blocks")
    turned = [judge(machine) for machine in blocks]
    quilts = sorted(path.parent for path in (folder / "quilts").glob("*/plan.json"))
    check(len(quilts) == len(QUILTS) + 1, f"{len(quilts)} of {len(QUILTS) + 1} quilts")
    for quilt in quilts:
        files, some = judge_quilt(quilt)
        turned += [file in some for file in files]
    check(sum(turned) >= 20 and len(turned) - sum(turned) >= 20, f"only {sum(turned)} of {len(turned)} files are turned")
    for what in ("grey points", "pieces with a file"):
        check(counted[what] > 0, f"no {what} to judge")
    also = ", ".join(f"{count} {what}" for what, count in sorted(counted.items()))
    print("\n".join(problems[:40]) or f"{len(turned)} files are as their templates show them, {sum(turned)} of them turned; {also}")
    sys.exit(1 if problems else 0)


if __name__ == "__main__":
    main()
