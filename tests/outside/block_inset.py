"""Judges the insets that `cargo test --test block_inset` writes, with the buffers of shapely (GEOS).

Polygons: mitred joins on the outline, cut off square at 2 margins, as the library promises. Drawn outlines: round joins on
the holes; the outline's own inward corners are smooth, so the kind of join does not count.

Run: python tests/outside/block_inset.py [target/tmp]
"""

import json
import sys
from pathlib import Path

from shapely import affinity, get_parts
from shapely.geometry import Polygon
from shapely.ops import unary_union

MITRE_LIMIT = 2.0
LEAST_PIECE_MM2 = 1.0
# Areas may differ by what snapping (polygons) and flattening within 0.01 mm (curves) leave along the edge.
POLYGON_SLACK_MM = 1e-6
CURVE_SLACK_MM = 0.01


def area(rings):
    return Polygon(rings[0], rings[1:])


def pieces(shape):
    return unary_union([p for p in get_parts(shape) if p.area >= LEAST_PIECE_MM2])


def difference(ours, theirs):
    return ours.symmetric_difference(theirs).area


def judge_polygons(cases):
    wrong = 0
    worst = 0.0
    for n, case in enumerate(cases):
        outline = area(case["outline"])
        ours = unary_union([area(p) for p in case["inside"]])
        theirs = pieces(outline.buffer(-case["margin"], join_style="mitre", mitre_limit=MITRE_LIMIT))
        off = difference(ours, theirs) / outline.length
        worst = max(worst, off)
        if off > POLYGON_SLACK_MM:
            wrong += 1
            print(f"polygon {n}: {off:.6f} mm off along the edge, areas {ours.area:.4f} and {theirs.area:.4f}")
    print(f"{len(cases)} polygons, {wrong} differ, worst {worst:.2e} mm along the edge")
    return wrong


def judge_drawn(cases):
    wrong = 0
    worst = 0.0
    for n, case in enumerate(cases):
        drawn = [Polygon(r).buffer(0) for r in case["drawn"]]
        block = drawn[0].difference(unary_union(drawn[1:]))
        box = block.bounds
        block = affinity.translate(block, -(box[0] + box[2]) / 2, -(box[1] + box[3]) / 2)
        outline = area(case["outline"])
        ours = unary_union([area(p) for p in case["inside"]])
        theirs = pieces(block.buffer(-case["margin"], quad_segs=64))
        for what, a, b in [("outline", outline, block), ("inside", ours, theirs)]:
            off = difference(a, b) / block.length
            worst = max(worst, off)
            if off > CURVE_SLACK_MM:
                wrong += 1
                print(f"drawing {n}, {what}: {off:.6f} mm off along the edge")
    print(f"{len(cases)} drawings, {wrong} differ, worst {worst:.2e} mm along the edge")
    return wrong


def main():
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "target/tmp")
    wrong = judge_polygons(json.loads((folder / "block_inset_polygons.json").read_text()))
    wrong += judge_drawn(json.loads((folder / "block_inset_drawn.json").read_text()))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
