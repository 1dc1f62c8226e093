"""Judges the borders of planned quilts by their plans and machine files alone.

    python tests/outside/quilt_borders.py PROGRAM [--all] [--motifs NAME,NAME…] [--keep FOLDER]

Quilts are written here, planned by the program and read back: every hooping of `plan.json` is decoded from its machine file
and laid on the quilt by its centre and turn. For a few quilts, or with --all for every motif on borders of 2, 5 and 10 in
round four tops each:

loose     in and beside the corners no line ends in the open: an end of a sewn line lies on another line, on the edge of the
          quilting, or the motif has such ends along its straight sides as well.
joins     where a corner's hooping meets that of a side, lines meet within 0.1 mm in the plan's own figures, and within 0.25 mm
          in the holes, which lie on a grid of 0.1 mm that is another in every hooping.
bend      at those joins lines bend by less than 1 degree in the plan's own figures.
stretch   at most 10 %, or said in words.
alike     the quilt turned by half, and a square one turned by a quarter, has the same lines within 0.35 mm: two grids and
          two chords of a curve, each up to 0.1 mm off.

--hoops   also plans some quilts with four sets of hoops: what is sewn is the same within 0.1 mm on at least 99 % of its
          length, and where strands cross at wide angles within 0.15 mm everywhere: a hole is rounded to a grid of 0.1 mm that
          is another in every hooping, so that two of them lie up to twice half its diagonal apart, 0.141 mm. Where plumes meet
          a vine at a sharp angle the last hole of a plume may be the vine's or its own: 0.35 mm there.

Exit code 0 if all holds. Needs shapely 2.
"""

import argparse
import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import shapely
from quilt_read import read

JOIN_MM = 0.1
JOIN_HOLES_MM = 0.25
BEND_DEG = 1.0
STRETCH = 0.1
ALIKE_MM = 0.35
GRIDS_MM = 0.15
APART = 0.01
STEP_MM = 0.25
ON_LINE_MM = 0.3
INCH = 25.4
MARGIN_MM = 6.35

TOPS = [
    ("straight", 2, 2, "9in"),
    ("straight", 3, 2, "12in"),
    ("straight", 4, 3, "10 1/2in"),
    ("on point", 2, 3, "12in"),
]
BORDERS = [
    *("cable", "cable-three", "hearts", "swag", "seed-chain", "ribbon", "leaf-vine", "feather-vine", "piano-keys", "wave"),
    *("dogwood", "orange-peel", "cross-hatch", "grid", "pumpkin-seed"),
]
HOOPS = [["200 x 200 mm"], ["130 x 180 mm", "200 x 300 mm"], ["360 x 350 mm"], ["240 x 150 mm"]]


def write(path, motif, width, top, corner, hoops):
    setting, rows, columns, block = top
    lines = [f'title = "{path.stem}"', "[machine]", f"hoops = {json.dumps(hoops)}"]
    # One piece a hooping, so that each is known by its name.
    lines += ["[hooping]", "share = false"]
    lines += ["[top]", f'setting = "{setting}"', f"rows = {rows}", f"columns = {columns}", f'block = "{block}"']
    lines += ["[[border]]", f'width = "{width}in"', f'motif = "{motif}"']
    lines += [f'corner = "{corner}"'] if corner else []
    path.write_text("\n".join(lines) + "\n")


def planned(program, folder, name, *words):
    path = Path(folder) / f"{name}.toml"
    write(path, *words)
    run = subprocess.run([program, "quilt", str(path), "--out", str(folder)], capture_output=True, text=True)
    if run.returncode:
        return None, run.stderr.strip()
    return read(Path(folder) / "".join(c if c.isalnum() else "-" for c in name)), ""


def steps_of(runs):
    return {tuple(sorted((a, b))) for run in runs for a, b in zip(run, run[1:])}


def loose_ends(runs):
    """Where sewn lines end: holes with stitches to one side only, which lie on no other stitch."""
    key = lambda p: (round(p[0], 2), round(p[1], 2))
    at, to = {}, {}
    for a, b in steps_of(runs):
        for p, q in ((a, b), (b, a)):
            at[key(p)] = p
            to.setdefault(key(p), set()).add(key(q))
    return [at[k] for k, others in to.items() if len(others) == 1]


def tree_of(runs):
    steps = sorted(steps_of(runs))
    return steps, shapely.STRtree([shapely.LineString(s) for s in steps])


def off_others(ends, steps, tree):
    """How far each end is from the nearest stitch that does not end there."""
    off = []
    for end in ends:
        near = tree.query(shapely.Point(end).buffer(3.0))
        others = [n for n in near if all(math.dist(end, p) > 1e-6 for p in steps[n])]
        # The line's own last stitches run up to the end; those behind it are no others.
        own = {n for n in near if any(math.dist(end, p) <= 1e-6 for p in steps[n])}
        starts = {p for n in own for p in steps[n]}
        others = [n for n in others if not starts & set(steps[n])]
        off.append(min((shapely.Point(end).distance(tree.geometries[n]) for n in others), default=math.inf))
    return off


def judge(plan, hoopings, name, width):
    wrong = []
    half = [s / 2 for s in plan["size"]]
    wide = width * INCH
    band = [h - wide for h in half]
    runs = [run for _, rs in hoopings for run in rs]
    for border in plan["borders"]:
        said = " ".join(w["text"] for w in plan["warnings"])
        if border["stretch"] > STRETCH and "stretched by" not in said and "had to be stretched" not in said:
            wrong.append(f"stretch {border['stretch']:.3f}, and nothing said")
        if border["turns"] and border["join_gap_mm"] is not None:
            if border["join_gap_mm"] > JOIN_MM:
                wrong.append(f"join {border['join_gap_mm']} mm")
            if border["join_bend_deg"] > BEND_DEG:
                wrong.append(f"bend {border['join_bend_deg']} degrees")
    # Loose ends, in the corners and along the straight sides.
    steps, tree = tree_of(runs)
    ends = loose_ends(runs)
    off = off_others(ends, steps, tree)
    edge = lambda p: min(
        abs(abs(p[0]) - half[0] + MARGIN_MM),
        abs(abs(p[1]) - half[1] + MARGIN_MM),
        abs(abs(p[0]) - band[0] - MARGIN_MM) if abs(p[1]) > band[1] - wide or True else math.inf,
        abs(abs(p[1]) - band[1] - MARGIN_MM),
    )
    zone = lambda p: min(abs(p[0]) - band[0], abs(p[1]) - band[1]) > -0.35 * wide
    free = [(p, o) for p, o in zip(ends, off) if o > ON_LINE_MM and edge(p) > ON_LINE_MM]
    corner = [p for p, _ in free if zone(p)]
    along = len(free) - len(corner)
    if corner and not along:
        wrong.append(f"{len(corner)} loose ends in the corners, such as {corner[0][0]:.1f},{corner[0][1]:.1f}")
    # Joins in the holes: ends of the corners' hoopings that lie in the open in their own hooping.
    gaps = []
    units = [(f, rs) for f, rs in hoopings if "corners" in f]
    for folder, rs in units:
        own, own_tree = tree_of(rs)
        mine = loose_ends(rs)
        rest = [run for g, others in hoopings if g != folder or others is not rs for run in others if others is not rs]
        if not rest:
            continue
        others = shapely.STRtree([shapely.LineString(s) for s in sorted(steps_of(rest))])
        for end, near in zip(mine, off_others(mine, own, own_tree)):
            if near > ON_LINE_MM and edge(end) > ON_LINE_MM:
                _, away = others.query_nearest(shapely.Point(end), return_distance=True, all_matches=False)
                gaps.append(float(away[0]))
    joined = [g for g in gaps if g < 2.0]
    if joined and max(joined) > JOIN_HOLES_MM:
        wrong.append(f"holes at a join are {max(joined):.2f} mm apart")
    # Alike.
    turns = [180] + ([90] if abs(half[0] - half[1]) < 1e-6 else [])
    worst = 0.0
    for turn in turns:
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        moved = [[(c * x - s * y, s * x + c * y) for x, y in run] for run in runs]
        worst = max(worst, strays(moved, tree)[0])
    if worst > ALIKE_MM:
        wrong.append(f"turned by {turns} it strays by {worst:.2f} mm")
    figures = dict(
        ends=len(ends), loose=len(corner), along=along, joins=len(joined), hole_gap=max(joined, default=0.0), alike=worst,
        gap=max((b["join_gap_mm"] or 0.0 for b in plan["borders"]), default=0.0),
        bend=max((b["join_bend_deg"] or 0.0 for b in plan["borders"]), default=0.0),
        stretch=max((b["stretch"] for b in plan["borders"]), default=0.0),
        turns=all(b["turns"] for b in plan["borders"]),
    )
    return wrong, figures


def strays(runs, tree):
    """How far the farthest point of some runs is from other lines, mm, and the share of points farther than 0.1 mm."""
    points = []
    for a, b in sorted(steps_of(runs)):
        count = max(1, math.ceil(math.dist(a, b) / STEP_MM))
        points.extend((a[0] + (b[0] - a[0]) * k / count, a[1] + (b[1] - a[1]) * k / count) for k in range(count + 1))
    _, off = tree.query_nearest(shapely.points(points), all_matches=False, return_distance=True)
    return float(off.max()), float((off > 0.1).mean())


def same_in_all_hoops(program, folder, motifs):
    good = True
    for motif, width, top, most in motifs:
        known = None
        for i, hoops in enumerate(HOOPS):
            made, why = planned(program, folder, f"{motif}-hoop-{i}", motif, width, top, "", hoops)
            if made is None:
                print(f"{motif} {hoops}: {why}")
                good = False
                continue
            runs = [run for _, rs in made[1] for run in rs]
            if known is None:
                known = (runs, tree_of(runs)[1])
                continue
            there, back = strays(runs, known[1]), strays(known[0], tree_of(runs)[1])
            worst, share = max(there[0], back[0]), max(there[1], back[1])
            holds = worst <= most and share <= APART
            good &= holds
            print(f"{motif} {width} in, {hoops}: strays by {worst:.3f} mm, {share:.2%} by more than 0.1 mm{'' if holds else '  WRONG'}")
    return good


def main():
    words = argparse.ArgumentParser()
    words.add_argument("program")
    words.add_argument("--all", action="store_true")
    words.add_argument("--hoops", action="store_true")
    words.add_argument("--motifs", default="")
    words.add_argument("--keep", default="")
    asked = words.parse_args()
    borders = asked.motifs.split(",") if asked.motifs else BORDERS
    if asked.all:
        cases = [(m, w, t) for m in borders for w in (2, 5, 10) for t in TOPS]
    else:
        few = asked.motifs.split(",") if asked.motifs else ["cable", "hearts", "feather-vine", "piano-keys"]
        cases = [(m, 5, TOPS[i % 2]) for i, m in enumerate(few)]
    good = True
    with tempfile.TemporaryDirectory() as temporary:
        folder = asked.keep or temporary
        Path(folder).mkdir(exist_ok=True)
        for motif, width, top in cases:
            name = f"{motif}-{width}-{'-'.join(str(t) for t in top)}".replace(" ", "-").replace("/", "-")
            made, why = planned(asked.program, folder, name, motif, width, top, "", HOOPS[2])
            if made is None:
                print(f"{name}: REFUSED {why}")
                continue
            wrong, f = judge(*made, name, width)
            good &= not wrong
            print(
                f"{name}: turns {f['turns']}, {f['joins']} joins {f['gap']:.3f} mm {f['bend']:.2f} deg (holes {f['hole_gap']:.2f} mm), "
                f"stretch {f['stretch']:.1%}, loose {f['loose']} (along {f['along']}), alike {f['alike']:.2f} mm"
                + (f"  WRONG: {'; '.join(wrong)}" if wrong else ""),
                flush=True,
            )
        if asked.hoops:
            good &= same_in_all_hoops(
                asked.program,
                folder,
                [("feather-vine", 5, TOPS[0], ALIKE_MM), ("cable", 5, TOPS[0], GRIDS_MM), ("wave", 5, TOPS[0], GRIDS_MM)],
            )
    sys.exit(0 if good else 1)


if __name__ == "__main__":
    main()
