"""Measures printed templates and previews as a ruler would: views_measure.py FOLDER.

FOLDER holds templates (NAME.pdf), sewing sheets (NAME-work-*.pdf), previews (NAME.svg) and, beside any of them,
a report (NAME.json) with `block`, `centre` and `stitches.bounds`. Checked, and a line printed for each file:

- every page of every template, drawn by an outside program at 600 dots an inch: the bars are 4 in and 100 mm
  long, each within 0.1 mm;
- neighbouring pages, laid ring on ring: every line that crosses a join meets its other half within 0.2 mm;
- the cross stands within 0.05 mm of the design's centre, and where the report says it stands in the block;
- the block's edge is as large as the report says, within 0.1 mm in 100 mm;
- a quilt's book of templates (templates.pdf): the bars on eight of its pages;
- previews, opened in a browser: a millimetre is a millimetre, and the block is as large as the report says.

Needs pypdf, numpy, pdftoppm, chromium. Ends with 1 if anything is off.
"""

import html
import json
import math
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ContentStream

MM = 25.4 / 72
DPI = 600
BAR_WITHIN = 0.1
JOIN_WITHIN = 0.2
CROSS_WITHIN = 0.05
# Half of the machine's 0.1 mm grid: the design's centre is a point of that grid.
GRID_HALF = 0.05
DUST = 0.002

JOIN_DASH = [3, 1.5]
TRACE_DASH = [5, 1, 0.9, 1]
EDGE_PEN = 0.45
# How many pages of a quilt's book of templates are drawn and measured.
BOOK_SAMPLE = 8
# PDFs of a quilt that are no templates of one design: the book of all of them, and maps (map.pdf, demo-map.pdf).
BOOK, MAP = "templates.pdf", "map.pdf"
CROSS_PEN = 0.45

problems = []


def check(ok, words):
    if not ok:
        problems.append(words)
        print(f"  OFF: {words}")


class Stroke:
    """One drawn path: its points in mm on the page, its pen and its colour."""

    def __init__(self, subpaths, width, dash, colour):
        self.subpaths, self.width, self.dash, self.colour = subpaths, width, dash, colour

    def points(self):
        return [p for sub in self.subpaths for p in sub["points"]]

    def bounds(self):
        xs, ys = zip(*self.points())
        return min(xs), min(ys), max(xs), max(ys)


def times(a, b):
    return [
        a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5],
    ]


def strokes(page, reader):
    """Reads a page's drawing operators; lengths come out in mm on the paper."""
    matrix, pen, stack, out, subs = [1, 0, 0, 1, 0, 0], {"w": 1, "d": [], "c": None}, [], [], []

    def at(x, y):
        x, y = float(x), float(y)
        return ((matrix[0] * x + matrix[2] * y + matrix[4]) * MM, (matrix[1] * x + matrix[3] * y + matrix[5]) * MM)

    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        op = operator.decode()
        if op == "q":
            stack.append((matrix, dict(pen)))
        elif op == "Q":
            matrix, pen = stack.pop()
        elif op == "cm":
            matrix = times([float(n) for n in operands], matrix)
        elif op == "w":
            pen["w"] = float(operands[0]) * math.hypot(matrix[0], matrix[1]) * MM
        elif op == "d":
            pen["d"] = [round(float(n), 3) for n in operands[0]]
        elif op == "RG":
            pen["c"] = tuple(float(n) for n in operands)
        elif op == "m":
            subs.append({"points": [at(*operands)], "curved": False})
        elif op == "l":
            subs[-1]["points"].append(at(*operands))
        elif op == "c":
            subs[-1]["points"].append(at(*operands[4:]))
            subs[-1]["curved"] = True
        elif op == "re":
            x, y, w, h = (float(n) for n in operands)
            corners = [at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h), at(x, y)]
            subs.append({"points": corners, "curved": False})
        elif op == "h":
            subs[-1]["points"].append(subs[-1]["points"][0])
        elif op in ("S", "B", "B*"):
            out.append(Stroke(subs, pen["w"], pen["d"], pen["c"]))
            subs = []
        elif op in ("f", "f*", "n"):
            subs = []
    return out


def dark_runs(path, number, strip):
    """Lengths in mm of unbroken dark rows in the lowest `strip` mm of a page, as drawn by another program."""
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "page"
        subprocess.run(
            ["pdftoppm", "-r", str(DPI), "-gray", "-f", str(number), "-l", str(number), "-singlefile", path, target],
            check=True,
        )
        raw = target.with_suffix(".pgm").read_bytes()
    header = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", raw)
    width, height = int(header[1]), int(header[2])
    pixels = np.frombuffer(raw, np.uint8, offset=header.end()).reshape(height, width)
    rows = pixels[height - round(strip / 25.4 * DPI) :] < 128
    lengths = []
    for row in rows:
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        lengths.extend((edges[1::2] - edges[::2]) * 25.4 / DPI)
    return np.array(lengths)


def measure_bars(path, numbers):
    for number in numbers:
        lengths = dark_runs(path, number, 24)
        bars = lengths[(lengths > 95) & (lengths < 106)]
        check(len(bars) > 0, f"{path.name} page {number}: no bars to measure by")
        if len(bars) > 0:
            check(abs(bars.max() - 101.6) <= BAR_WITHIN, f"{path.name} page {number}: 4 in are {bars.max():.2f} mm")
            check(abs(bars.min() - 100) <= BAR_WITHIN, f"{path.name} page {number}: 100 mm are {bars.min():.2f} mm")


def crossing(drawn, axis, where, other):
    """Where straight lines cross a join: their other coordinates, sorted."""
    found = []
    for stroke in drawn:
        if stroke.dash in (JOIN_DASH,):
            continue
        for sub in stroke.subpaths:
            if sub["curved"]:
                continue
            for p, q in zip(sub["points"], sub["points"][1:]):
                a, b = p[axis] - where, q[axis] - where
                if a * b < 0 and abs(p[axis] - q[axis]) > 1e-6:
                    t = a / (a - b)
                    found.append(p[other] + t * (q[other] - p[other]))
    return np.array(sorted(found))


def joins_of(drawn):
    """A page's joins: for each its axis (0 upright), where it is, and where its rings are along it."""
    joins = []
    for index, stroke in enumerate(drawn):
        if stroke.dash != JOIN_DASH:
            continue
        (x0, y0), (x1, y1) = stroke.points()[:2]
        axis = 0 if abs(x1 - x0) < 1e-6 else 1
        rings = []
        for ring in drawn[index + 1 : index + 10]:
            if ring.subpaths[0]["curved"]:
                left, low, right, high = ring.bounds()
                centre = ((left + right) / 2, (low + high) / 2)
                rings.append(centre[1 - axis])
                check(abs(centre[axis] - (x0, y0)[axis]) < 0.01, "a ring stands beside its join")
        joins.append({"axis": axis, "where": (x0, y0)[axis], "rings": np.array(rings[:3])})
    return joins


def measure_joins(path, drawn_pages, width):
    """Every upright join of a page with the one of its right neighbour, every level one with the page below."""
    worst, lines = 0.0, 0
    tiles = [(drawn, joins_of(drawn)) for drawn in drawn_pages]
    # The first row ends at the first page without an upright join in its right half.
    ends = [not any(j["axis"] == 0 and j["where"] > width / 2 for j in joins) for _, joins in tiles]
    columns = ends.index(True) + 1
    for i, (drawn, joins) in enumerate(tiles):
        for axis, step in ((0, 1), (1, columns)):
            inside = i + step < len(tiles) and (axis == 1 or (i + 1) % columns != 0)
            if not inside:
                continue
            there, their_joins = tiles[i + step]
            ours = [j for j in joins if j["axis"] == axis]
            theirs = [j for j in their_joins if j["axis"] == axis]
            check(bool(ours and theirs), f"{path.name}: pages {i + 2} and {i + 2 + step} have no join")
            if not (ours and theirs):
                continue
            # The join to the right is the rightmost, to the page below the lowest; the neighbour's is the opposite one.
            pick, other = (max, min) if axis == 0 else (min, max)
            a = pick(ours, key=lambda j: j["where"])
            b = other(theirs, key=lambda j: j["where"])
            shift = np.mean(a["rings"] - b["rings"])
            worst = max(worst, np.abs(a["rings"] - b["rings"] - shift).max())
            low, high = min(a["rings"]) - 12, max(a["rings"]) + 12
            one = crossing(drawn, axis, a["where"], 1 - axis)
            two = crossing(there, axis, b["where"], 1 - axis) + shift
            one, two = one[(one > low) & (one < high)], two[(two > low) & (two < high)]
            lines += len(one)
            check(len(one) > 0, f"{path.name}: nothing crosses the join of page {i + 2}")
            for where in one:
                off = np.abs(two - where).min() if len(two) else math.inf
                worst = max(worst, off)
    check(worst <= JOIN_WITHIN, f"{path.name}: a line misses its other half by {worst:.3f} mm")
    return worst, lines


def measure_cross(path, drawn, report):
    """The heavy cross against the trace box and against the report."""
    boxes = [s for s in drawn if s.dash == TRACE_DASH and len(s.points()) == 5]
    arms = [s for s in drawn if abs(s.width - CROSS_PEN) < 1e-3 and len(s.points()) == 2 and s.colour and s.colour[2] > 0.4]
    edges = [s for s in drawn if abs(s.width - EDGE_PEN) < 1e-3 and s.colour and s.colour[2] < 0.3]
    if not boxes or len(arms) < 2:
        return None
    level = next(s for s in arms if abs(s.points()[0][1] - s.points()[1][1]) < 1e-6)
    upright = next(s for s in arms if abs(s.points()[0][0] - s.points()[1][0]) < 1e-6)
    cross = (upright.points()[0][0], level.points()[0][1])
    left, low, right, high = boxes[0].bounds()
    off = max(abs(cross[0] - (left + right) / 2), abs(cross[1] - (low + high) / 2))
    if report is None:
        check(off <= GRID_HALF + DUST, f"{path.name}: the cross is {off:.3f} mm from the trace box's middle")
        return off
    bounds, centre = report["stitches"]["bounds"], centre_as_sewn(report)
    expected = (left - bounds["left"] + centre[0], low - bounds["bottom"] + centre[1])
    off = math.hypot(cross[0] - expected[0], cross[1] - expected[1])
    check(off <= CROSS_WITHIN, f"{path.name}: the cross is {off:.3f} mm from the design's centre")
    if edges and "block" in report:
        measure_edge(path, edges[0], cross, report)
    return off


def centre_as_sewn(report):
    """The design's centre in the block, turned with the file."""
    x, y = report["centre"]
    return (-y, x) if report.get("turned") else (x, y)


def block_as_sewn(report):
    """The block's width and height, turned with the file."""
    size = report["block"]["width"], report["block"]["height"]
    return size[::-1] if report.get("turned") else size


def measure_edge(path, edge, cross, report):
    left, low, right, high = edge.bounds()
    for name, size, asked in zip(("width", "height"), (right - left, high - low), block_as_sewn(report)):
        check(abs(size - asked) <= asked / 1000, f"{path.name}: the block's {name} is {size:.2f}, not {asked:.2f} mm")
    middle, centre = ((left + right) / 2, (low + high) / 2), centre_as_sewn(report)
    away = math.hypot(cross[0] - middle[0] - centre[0], cross[1] - middle[1] - centre[1])
    check(away <= CROSS_WITHIN, f"{path.name}: the cross is {away:.3f} mm from its place in the block")


def measure_spoiled(path):
    """A page printed a third of a percent too large has to be noticed, or the measuring is worth nothing."""
    with tempfile.TemporaryDirectory() as folder:
        spoiled = Path(folder) / path.name
        pages = PdfWriter(clone_from=path)
        for page in pages.pages:
            drawn = page.get_contents()
            drawn.set_data(drawn.get_data().replace(b"2.8346457 0 0 2.8346457", b"2.8446457 0 0 2.8446457"))
            page.replace_contents(drawn)
        pages.write(spoiled)
        lengths = dark_runs(spoiled, 1, 24)
    bars = lengths[(lengths > 95) & (lengths < 106)]
    noticed = len(bars) > 0 and abs(bars.max() - 101.6) > BAR_WITHIN and abs(bars.min() - 100) > BAR_WITHIN
    check(noticed, f"{path.name}: a page that is too large is not noticed")


def report_beside(path):
    report = path.with_suffix(".json")
    return json.loads(report.read_text()) if report.exists() else None


def measure_template(path):
    reader = PdfReader(path)
    drawn = [strokes(page, reader) for page in reader.pages]
    measure_bars(path, range(1, len(drawn) + 1))
    for number, page in enumerate(reader.pages, 1):
        check("actual size" in page.extract_text(), f"{path.name} page {number}: its words cannot be found or copied")
    report = report_beside(path)
    crosses = [measure_cross(path, page, report) for page in drawn]
    found = [c for c in crosses if c is not None]
    check(bool(found), f"{path.name}: no cross")
    worst, lines = measure_joins(path, drawn[1:], float(reader.pages[1].mediabox.width) * MM) if len(drawn) > 2 else (0.0, 0)
    off = max(found, default=math.nan)
    print(f"{path.name}: {len(drawn)} pages, bars true, cross off by {off:.4f} mm, {lines} lines meet within {worst:.4f} mm")


def measure_book(path):
    """A quilt's book of templates: the bars on pages spread over it, the words on all. What is on them is read by printed.py."""
    reader = PdfReader(path)
    pages = len(reader.pages)
    measure_bars(path, sorted({round(i * (pages - 1) / (BOOK_SAMPLE - 1)) + 1 for i in range(BOOK_SAMPLE)}))
    for number, page in enumerate(reader.pages, 1):
        check("actual size" in page.extract_text(), f"{path.name} page {number}: its words cannot be found or copied")
    print(f"{path.name}: {pages} pages, bars true on {min(pages, BOOK_SAMPLE)} of them")


PROBE = """<!doctype html><body style="margin:0">{svg}<pre id=out></pre><script>
const svg = document.querySelector("svg"), box = svg.getBoundingClientRect(), m = svg.getScreenCTM();
const block = svg.querySelector('g[aria-label="block"]');
const edge = [...block.querySelectorAll("path, use")].find(e => e.getAttribute("fill"));
const e = edge ? edge.getBoundingClientRect() : { width: NaN, height: NaN };
document.getElementById("out").textContent = JSON.stringify([box.width, box.height, m.a, m.d, e.width, e.height]);
</script>"""


def measure_preview(path):
    svg = path.read_text()
    asked = [float(n) for n in re.findall(r'(?:^|\s)(?:width|height)="([\d.]+)mm"', svg)]
    height, width = asked[0], asked[1]
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "probe.html"
        page.write_text(PROBE.replace("{svg}", svg))
        command = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--dump-dom", page.as_uri()]
        dom = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    figures = json.loads(html.unescape(re.search(r'<pre id="out">(.*?)</pre>', dom, re.S)[1]))
    px = 25.4 / 96
    wide, high, scale_x, scale_y, block_w, block_h = ((math.nan if n is None else n) * px for n in figures)
    for name, got, want in (("width", wide, width), ("height", high, height)):
        check(abs(got - want) <= want / 1000, f"{path.name}: {name} shows as {got:.2f}, not {want:.2f} mm")
    for scale in (scale_x, scale_y):
        check(abs(scale - 1) <= 0.001, f"{path.name}: a millimetre shows as {scale:.4f} mm")
    report = report_beside(path)
    # A file of which only the stitches are known has no block.
    if report is not None and "block" in report:
        for name, got, want in zip(("width", "height"), (block_w, block_h), block_as_sewn(report)):
            # The box that the browser gives may hold the edge's pen.
            check(abs(got - want) <= want / 1000 + 0.02, f"{path.name}: the block's {name} shows as {got:.2f}, not {want:.2f} mm")
    print(f"{path.name}: {wide:.2f} × {high:.2f} mm, block {block_w:.2f} × {block_h:.2f} mm, a millimetre is {scale_x:.5f} mm")


def main():
    folder = Path(sys.argv[1])
    pages = [p for p in sorted(folder.rglob("*.pdf")) if "-work" not in p.stem and "sewing-sheet" not in p.stem]
    templates = [p for p in pages if p.name != BOOK and not p.name.endswith(MAP)]
    previews = [p for p in sorted(folder.rglob("*.svg")) if 'aria-label="block"' in p.read_text()]
    check(bool(pages or previews), f"nothing to measure in {folder}")
    for path in templates:
        measure_template(path)
    for path in (p for p in pages if p.name == BOOK):
        measure_book(path)
    for path in templates[:1]:
        measure_spoiled(path)
    for path in previews:
        measure_preview(path)
    print(f"{len(templates)} templates, {len(previews)} previews, {len(problems)} off")
    sys.exit(1 if problems else 0)


main()
