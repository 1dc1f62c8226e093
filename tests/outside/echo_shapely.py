"""Judges the rings that `cargo test --test fills` writes, with the offsets of shapely (GEOS).

Every level's rings are compared with the boundary of the outline shrunk by that level's depth. On the whole they may differ by
what round joins err by (2e-4 of the depth), measured as the area between them over their length; at single points, where two
of them meet at a sharp angle and the error grows, by 0.05 mm, measured as the farthest that either strays from the other.

Run: python tests/outside/echo_shapely.py [target/tmp]
"""

import json
import sys
from pathlib import Path

from shapely.geometry import LinearRing, MultiLineString, Polygon

JOIN = 2e-4
POINT_MM = 0.05
SNAP_MM = 1e-5
SEGMENTS = 512


def ring_area(rings):
    """The rings as a shape; holes run clockwise."""
    shape = Polygon()
    for ring in sorted(rings, key=lambda r: -abs(Polygon(r).area)):
        part = Polygon(ring)
        shape = shape.union(part) if LinearRing(ring).is_ccw else shape.difference(part)
    return shape


def main():
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "target/tmp")
    data = json.loads((folder / "echo_rings.json").read_text())
    wrong = compared = 0
    worst_point = worst_whole = 0.0
    for n, case in enumerate(data["cases"]):
        region = Polygon(case["outline"], case["holes"])
        for level in sorted({ring["level"] for ring in case["rings"]}):
            depth = data["step"] * level
            rings = [r["points"] for r in case["rings"] if r["level"] == level]
            theirs = region.buffer(-depth, quad_segs=SEGMENTS)
            point = MultiLineString([LinearRing(r) for r in rings]).hausdorff_distance(theirs.boundary)
            whole = ring_area(rings).symmetric_difference(theirs).area / theirs.length
            compared += 1
            worst_point, worst_whole = max(worst_point, point), max(worst_whole, whole)
            if point > POINT_MM or whole > JOIN * depth + SNAP_MM:
                wrong += 1
                print(f"outline {n}, level {level}: {point:.4f} mm at a point, {whole:.5f} mm on the whole")
    print(
        f"{len(data['cases'])} outlines, {compared} levels, {wrong} differ;"
        f" worst {worst_point:.4f} mm at a point, {worst_whole:.5f} mm on the whole"
    )
    return 1 if wrong or not compared else 0


if __name__ == "__main__":
    sys.exit(main())
