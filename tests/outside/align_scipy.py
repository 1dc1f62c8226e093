"""Judges how designs are brought to their marks, against SciPy; shares no code with the crate.

Reads the cases that `cargo test --test elsewhere` leaves. The turn is compared with the rotation of an orthogonal Procrustes
problem, turn and shift with the least squares of a general solver, and the error to be expected with a simulation.

    python tests/outside/align_scipy.py target/tmp/align/cases.json
"""

import json
import sys

import numpy as np
from scipy.linalg import orthogonal_procrustes
from scipy.optimize import least_squares

CLOSE = 1e-6
SIMULATED = 0.02
TRIALS = 40_000


def fitted(design, hoop, scaled):
    """Turn (radians), scale and shift of the least squares fit, by singular values."""
    a, b = design - design.mean(0), hoop - hoop.mean(0)
    turn, strength = orthogonal_procrustes(a, b)
    if np.linalg.det(turn) < 0:
        u, s, vt = np.linalg.svd(a.T @ b)
        turn, strength = u @ np.diag([1.0, -1.0]) @ vt, s[0] - s[1]
    scale = strength / (a * a).sum() if scaled else 1.0
    shift = hoop.mean(0) - scale * design.mean(0) @ turn
    return np.arctan2(turn[0, 1], turn[0, 0]), scale, shift


def solved(design, hoop, scaled):
    """The same by a general solver that knows nothing of rotations."""

    def off(x):
        c, s = x[3] * np.cos(x[0]), x[3] * np.sin(x[0])
        if not scaled:
            c, s = np.cos(x[0]), np.sin(x[0])
        moved = design @ np.array([[c, s], [-s, c]]) + x[1:3]
        return (moved - hoop).ravel()

    x = least_squares(off, [0.0, 0.0, 0.0, 1.0], xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    return x[0], (x[3] if scaled else 1.0), x[1:3]


def simulated(design, far, error, scaled, rng):
    """The root of the mean square by which the far place is missed, over many hoopings."""
    n = len(design)
    a = design - design.mean(0)
    noise = rng.normal(0.0, error / np.sqrt(2.0), (TRIALS, n, 2))
    b = a + noise - noise.mean(1, keepdims=True)
    dot = (a * b).sum((1, 2))
    cross = (a[:, 0] * b[:, :, 1] - a[:, 1] * b[:, :, 0]).sum(1)
    turn = np.arctan2(cross, dot)
    scale = np.hypot(dot, cross) / (a * a).sum() if scaled else 1.0
    arm = far - design.mean(0)
    x = scale * (arm[0] * np.cos(turn) - arm[1] * np.sin(turn)) + noise[:, :, 0].mean(1)
    y = scale * (arm[0] * np.sin(turn) + arm[1] * np.cos(turn)) + noise[:, :, 1].mean(1)
    return np.sqrt(((x - arm[0]) ** 2 + (y - arm[1]) ** 2).mean())


def main(path):
    with open(path) as file:
        cases = json.load(file)
    assert len(cases) == 200, len(cases)
    rng = np.random.default_rng(1)
    worst = {"procrustes": 0.0, "solver": 0.0, "misfit": 0.0, "error": 0.0}
    for case in cases:
        design, hoop = np.array(case["design"]), np.array(case["hoop"])
        told = np.array([np.radians(case["turn"]), case["scale"], *case["shift"]])
        for name, fit in (("procrustes", fitted), ("solver", solved)):
            turn, scale, shift = fit(design, hoop, case["scaled"])
            worst[name] = max(worst[name], np.abs(told - [turn, scale, *shift]).max())
        c, s = case["scale"] * np.cos(told[0]), case["scale"] * np.sin(told[0])
        moved = design @ np.array([[c, s], [-s, c]]) + told[2:]
        misfits = np.hypot(*(moved - hoop).T)
        worst["misfit"] = max(worst["misfit"], np.abs(misfits - case["misfits"]).max())
        found = simulated(design, np.array(case["far"]), case["mark_error"], case["scaled"], rng)
        worst["error"] = max(worst["error"], abs(found / case["expected_error"] - 1.0))
    print(f"{len(cases)} cases: " + ", ".join(f"{name} {value:.2e}" for name, value in worst.items()))
    assert worst["procrustes"] < CLOSE and worst["solver"] < CLOSE and worst["misfit"] < CLOSE
    assert worst["error"] < SIMULATED


if __name__ == "__main__":
    main(sys.argv[1])
