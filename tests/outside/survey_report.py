"""Judges the reports in a folder by the machine files beside them, with other libraries.

Usage: survey_report.py FOLDER [TOLERANCE_MM]

For every NAME.json with a NAME.dst beside it: needle points are decoded from the byte table alone, and penetrations,
bounds, centre, jumps, the widest gap (shapely's largest inscribed circle), the heaviest 1 mm disc (every circle through
two holes) and hoop fit are worked out anew. Ties cannot be told from a machine file, so steps and
passes are only bounded. A drawn outline may have parts kept clear, which the report does not carry: its gap is left out.
Exit code 0 if everything agrees. Needs shapely 2.1 or later.
"""

import json
import math
import sys
from collections import Counter
from pathlib import Path

import shapely

WEIGHTS = [  # byte, bit, axis, weight
    (0, 7, 1, 1), (0, 6, 1, -1), (0, 5, 1, 9), (0, 4, 1, -9), (0, 3, 0, -9), (0, 2, 0, 9), (0, 1, 0, -1), (0, 0, 0, 1),
    (1, 7, 1, 3), (1, 6, 1, -3), (1, 5, 1, 27), (1, 4, 1, -27), (1, 3, 0, -27), (1, 2, 0, 27), (1, 1, 0, -3), (1, 0, 0, 3),
    (2, 5, 1, 81), (2, 4, 1, -81), (2, 3, 0, -81), (2, 2, 0, 81),
]
GAP_MM = 0.01
DISC_MM = 1.0
CLEARANCE_MM = 1.0


def needle_points(data, centre, turned):
    """Runs of needle points in tenths of a millimetre, in block coordinates: turned back if the file is turned to the left."""
    x, y = 0, 0
    runs, fresh = [], True
    for i in range(512, len(data) - 2, 3):
        record = data[i:i + 3]
        if record[2] & 0xF3 == 0xF3:
            break
        move = [0, 0]
        for byte, bit, axis, weight in WEIGHTS:
            if record[byte] >> bit & 1:
                move[axis] += weight
        x, y = x + move[0], y + move[1]
        if record[2] & 0xC0:
            fresh = True
            continue
        if fresh:
            runs.append([])
            fresh = False
        runs[-1].append((x, y))
    at = [round(10 * c) for c in centre]
    return [[(at[0] + y, at[1] - x) if turned else (at[0] + x, at[1] + y) for x, y in run] for run in runs]


def widest_gap(outline, runs):
    """Diameter of the largest circle that no line crosses."""
    lines = [shapely.LineString([(x / 10, y / 10) for x, y in run]) for run in runs if len(set(run)) > 1]
    hairs = shapely.union_all(lines).buffer(1e-5, quad_segs=2)
    left = shapely.Polygon(outline).difference(hairs)
    parts = [p for p in getattr(left, "geoms", [left]) if not p.is_empty]
    return max(2 * shapely.maximum_inscribed_circle(p, tolerance=1e-3).length for p in parts)


def heaviest_disc(runs):
    """Most needle holes in a disc, by every circle through two holes."""
    holes = Counter(p for run in runs for p in run)
    patches = {}
    for hole in holes:
        patches.setdefault((hole[0] // 10, hole[1] // 10), []).append(hole)
    best = 0
    for a in holes:
        cx, cy = a[0] // 10, a[1] // 10
        near = [h for i in (-1, 0, 1) for j in (-1, 0, 1) for h in patches.get((cx + i, cy + j), [])]

        def held(c):
            return sum(holes[h] for h in near if math.hypot(h[0] - c[0], h[1] - c[1]) <= 5 * DISC_MM + 1e-7)

        best = max(best, holes[a])
        for b in near:
            apart = math.hypot(a[0] - b[0], a[1] - b[1])
            if 0 < apart <= 10 * DISC_MM:
                rise = math.sqrt(max(0.0, 25 - apart * apart / 4)) / apart
                best = max(best, held(((a[0] + b[0]) / 2 + (a[1] - b[1]) * rise, (a[1] + b[1]) / 2 + (b[0] - a[0]) * rise)))
    return best


def check(name, report, runs, tolerance):
    """Every disagreement, as text."""
    wrong = []

    def same(what, got, said, within):
        if abs(got - said) > within:
            wrong.append(f"{name}: {what} is {got}, the report says {said}")

    xs, ys = ([p[axis] / 10 for run in runs for p in run] for axis in (0, 1))
    turned = report["turned"] == 90
    if turned:
        # Bounds and hoop are told as the file is sewn.
        xs, ys = [-y for y in ys], xs
    stitches, bounds = report["stitches"], report["stitches"]["bounds"]
    centre = (-report["centre"][1], report["centre"][0]) if turned else report["centre"]
    for what, got in [("left", min(xs)), ("right", max(xs)), ("bottom", min(ys)), ("top", max(ys))]:
        same(what, got, bounds[what], 1e-9)
    same("centre x", (min(xs) + max(xs)) / 2, centre[0], 0.0501)
    same("centre y", (min(ys) + max(ys)) / 2, centre[1], 0.0501)
    same("penetrations", len(xs), stitches["penetrations"], 0)
    same("jumps", len(runs) - 1, report["route"]["jumps"], 0)

    steps = [math.dist(a, b) / 10 for run in runs for a, b in zip(run, run[1:])]
    sewn = [s for s in steps if s > 0]
    same("longest", max(sewn), stitches["longest"], 1e-3)
    if min(sewn) > stitches["shortest"] + 1e-3:
        wrong.append(f"{name}: no step is as short as {stitches['shortest']}")
    passes = Counter(frozenset(ab) for run in runs for ab in zip(run, run[1:]) if ab[0] != ab[1])
    if sum(stitches["passes"].values()) > len(passes):
        wrong.append(f"{name}: more stitches in the passes than there are")

    if report["block"]["shape"] != "outline":
        same("widest gap", widest_gap(report["block"]["outline"], runs), report["gap"]["widest"], tolerance)
    same("heaviest disc", heaviest_disc(runs), report["holes"]["most_in_1mm"], 0)

    if report["hoop"]:
        spare = [report["hoop"]["field"][0] - 2 * CLEARANCE_MM - (max(xs) - min(xs)),
                 report["hoop"]["field"][1] - 2 * CLEARANCE_MM - (max(ys) - min(ys))]
        if report["hoop"]["fits"] != (min(spare) >= -1e-9):
            wrong.append(f"{name}: spare is {spare}, the report says fits: {report['hoop']['fits']}")
    return wrong


def main():
    folder = Path(sys.argv[1])
    tolerance = float(sys.argv[2]) if len(sys.argv) > 2 else GAP_MM + 0.002
    wrong, count = [], 0
    for path in sorted(folder.rglob("*.json")):
        machine = path.with_suffix(".dst")
        report = json.loads(path.read_text())
        if not machine.exists() or "gap" not in report:
            continue
        count += 1
        wrong += check(path.stem, report, needle_points(machine.read_bytes(), report["centre"], report["turned"] == 90), tolerance)
    print("\n".join(wrong) if wrong else f"{count} reports agree")
    return 1 if wrong or not count else 0


if __name__ == "__main__":
    sys.exit(main())
