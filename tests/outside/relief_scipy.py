#!/usr/bin/env python3
"""Judges the heights of the relief: a direct sparse solution of the same screened Poisson equation.

usage: relief_scipy.py FOLDER-OF-JSON

Every file holds a grid of free and pinned cells and the heights found for it. The equation is set up here anew:
sum of the four neighbours - 4 h - h/λ² = -loft/λ² in free cells (mirrored about the outermost cells at the edge),
h = 0 in pinned ones; solved by scipy's sparse LU. No height may differ by more than a hundredth of the loft.
"""

import json
import pathlib
import sys

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import spsolve

ALLOWED = 0.01


def reference(grid):
    width, height = grid["width"], grid["height"]
    pinned = np.array([c == "#" for c in grid["pinned"]]).reshape(height, width)
    pull = 1.0 / grid["reach"] ** 2
    cell = np.arange(width * height).reshape(height, width)
    neighbours = [
        np.vstack([cell[1:2], cell[:-1]]),
        np.vstack([cell[1:], cell[-2:-1]]),
        np.hstack([cell[:, 1:2], cell[:, :-1]]),
        np.hstack([cell[:, 1:], cell[:, -2:-1]]),
    ]
    free = cell[~pinned]
    rows, columns, values = [free, cell[pinned]], [free, cell[pinned]], [np.full(free.size, 4 + pull), np.ones(pinned.sum())]
    for beside in neighbours:
        rows.append(free)
        columns.append(beside[~pinned])
        values.append(np.full(free.size, -1.0))
    matrix = sparse.csc_matrix((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))))
    right = np.where(pinned.ravel(), 0.0, grid["loft"] * pull)
    return spsolve(matrix, right)


def main():
    files = sorted(pathlib.Path(sys.argv[1]).glob("*.json"))
    if len(files) < 3:
        sys.exit(f"{sys.argv[1]} holds {len(files)} grids, not 3")
    for file in files:
        grid = json.loads(file.read_text())
        worst = np.abs(reference(grid) - np.array(grid["heights"])).max() / grid["loft"]
        print(f"{file.name}: λ {grid['reach']} cells, worst error {worst:.4%} of the loft")
        if not worst <= ALLOWED:
            sys.exit(f"{file}: {worst:.4%} is more than {ALLOWED:.0%}")


if __name__ == "__main__":
    main()
