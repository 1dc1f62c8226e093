"""Judges a planned quilt by its plan and its machine files alone.

    python tests/outside/quilt_lines.py FOLDER [--seams PLACE,PLACE…] [--same FOLDER…]

Every hooping of `plan.json` is decoded from its machine file and laid on the quilt by its centre and turn.

--seams  wherever two patches of these places share a seam, each line that ends on it from one side needs a partner from the
         other within 0.5 mm; lines that come in within 2 mm of a corner are left out, as a stub there may be too short to
         sew.
--same   the same quilt planned with other hoops: what is sewn lies within 0.25 mm of what is sewn here, both ways. Holes lie
         on a grid of 0.1 mm that is another in every hooping, and chords of a curve lie up to 0.1 mm off it.

Exit code 0 if all holds. Needs shapely 2.
"""

import argparse
import math
import sys

import shapely
from quilt_read import read

SEAM_MM = 0.5
ON_SEAM_MM = 0.3
CORNER_MM = 2.0
SAME_MM = 0.25


def runs_of(folder):
    """The plan, and all that is sewn."""
    plan, hoopings = read(folder)
    return plan, [run for _, runs in hoopings for run in runs]


def seams(plan, runs, places):
    patches = [p for p in plan["patches"] if p["place"] in places]
    polygons = [shapely.Polygon(p["outline"]) for p in patches]
    tree = shapely.STRtree(polygons)
    # A stitch that leaves a seam: its end on the seam, its other end inside one patch.
    steps = [(a, b) for run in runs for a, b in zip(run, run[1:])] + [(b, a) for run in runs for a, b in zip(run, run[1:])]
    middles = shapely.points([((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in steps])
    owner = {}
    for step, patch in zip(*tree.query(middles, predicate="within")):
        owner[step] = patch
    checked, wrong = 0, []
    for i, one in enumerate(polygons):
        for j in tree.query(one.buffer(0.5)):
            if j <= i:
                continue
            seam = one.buffer(ON_SEAM_MM).intersection(polygons[j].buffer(ON_SEAM_MM))
            if seam.length < 20:
                continue
            rectangle = shapely.oriented_envelope(seam)
            corners = list(rectangle.exterior.coords)[:4]
            sides = sorted(zip(corners, corners[1:] + corners[:1]), key=lambda s: math.dist(*s))
            ends = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in sides[:2]]
            line = shapely.LineString(ends)
            found = {i: [], j: []}
            for step, patch in owner.items():
                if patch not in found:
                    continue
                a, b = steps[step]
                if line.distance(shapely.Point(a)) < ON_SEAM_MM < line.distance(shapely.Point(b)) - 0.2:
                    along = line.project(shapely.Point(a))
                    # Where the stitch's own line meets the seam.
                    found[patch].append(along)
            for some, others in ((found[i], found[j]), (found[j], found[i])):
                for along in some:
                    if min(along, line.length - along) < CORNER_MM:
                        continue
                    checked += 1
                    off = min((abs(along - o) for o in others), default=math.inf)
                    if off > SEAM_MM:
                        wrong.append((patches[i]["place"], patches[j]["place"], round(off, 2), [round(c, 1) for c in line.interpolate(along).coords[0]]))
    print(f"{checked} line ends on seams, {len(wrong)} without a partner within {SEAM_MM} mm")
    for one in wrong[:12]:
        print("  ", one)
    return checked > 0 and not wrong


def spread(runs, apart=1.0):
    points = []
    for run in runs:
        for a, b in zip(run, run[1:]):
            steps = max(1, math.ceil(math.dist(a, b) / apart))
            points.extend((a[0] + (b[0] - a[0]) * k / steps, a[1] + (b[1] - a[1]) * k / steps) for k in range(steps + 1))
    return shapely.points(points)


def same(runs, others):
    def worst(some, lines):
        tree = shapely.STRtree([shapely.LineString(pair) for run in lines for pair in zip(run, run[1:])])
        points = spread(some)
        _, off = tree.query_nearest(points, all_matches=False, return_distance=True)
        return float(off.max()), points[int(off.argmax())]
    results = [worst(runs, others), worst(others, runs)]
    for off, where in results:
        print(f"strays by at most {off:.3f} mm, at {where}")
    return all(off <= SAME_MM for off, _ in results)


def main():
    words = argparse.ArgumentParser()
    words.add_argument("folder")
    words.add_argument("--seams", default="")
    words.add_argument("--same", nargs="*", default=[])
    asked = words.parse_args()
    plan, runs = runs_of(asked.folder)
    good = True
    if asked.seams:
        good &= seams(plan, runs, set(asked.seams.split(",")))
    for other in asked.same:
        print(other)
        good &= same(runs, runs_of(other)[1])
    sys.exit(0 if good else 1)


if __name__ == "__main__":
    main()
