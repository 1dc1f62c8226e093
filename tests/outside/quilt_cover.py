"""Judges covers of boxes by hoop windows with another solver.

Reads the files written by `cargo test --test quilt` and solves each case anew as an integer programme: every window that is
pushed against a box on the left and below, of every field, is a column; every box has to lie whole in one of them. Where the
quilt may lie in several ways, a case has the boxes of all pieces for each way, and windows of all ways are columns.

    python3 tests/outside/quilt_cover.py target/tmp/quilt_cover.json target/tmp/quilt_share.json
"""

import json
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

DUST = 1e-6


def windows(boxes, fields):
    boxes = np.array(boxes)
    columns = set()
    for width, height in fields:
        for x in np.unique(boxes[:, 0]):
            for y in np.unique(boxes[:, 1]):
                inside = (
                    (boxes[:, 0] >= x - DUST)
                    & (boxes[:, 1] >= y - DUST)
                    & (boxes[:, 2] <= x + width + DUST)
                    & (boxes[:, 3] <= y + height + DUST)
                )
                if inside.any():
                    columns.add(inside.tobytes())
    return columns


def fewest(grounds, fields):
    columns = set().union(*(windows(boxes, fields) for boxes in grounds))
    held = np.array([np.frombuffer(c, dtype=bool) for c in sorted(columns)]).T.astype(float)
    count = held.shape[1]
    found = milp(
        np.ones(count),
        constraints=LinearConstraint(held, lb=1),
        integrality=np.ones(count),
        bounds=Bounds(0, 1),
    )
    assert found.success, found.message
    return round(found.fun)


def main():
    cases = [case for name in sys.argv[1:] for case in json.load(open(name))]
    wrong = 0
    for case in cases:
        least = fewest(case.get("grounds") or [case["boxes"]], case["fields"])
        agrees = case["windows"] == least and case["exact"]
        wrong += not agrees
        print(f"{case['name']}: {case['windows']} windows, least {least}", "" if agrees else "  DIFFERS")
    print(f"{len(cases)} cases, {wrong} differ")
    sys.exit(1 if wrong or len(cases) < 10 else 0)


main()
