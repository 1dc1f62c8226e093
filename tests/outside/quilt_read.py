"""A planned quilt by its plan and its machine files alone."""

import json
import math
from pathlib import Path

from survey_report import needle_points


def read(folder):
    """The plan, and every hooping's runs on the quilt with the name of its piece."""
    folder = Path(folder)
    plan = json.loads((folder / "plan.json").read_text())
    files = {path.stem: path for path in folder.rglob("*.dst")}
    hoopings = []
    for hooping in plan["hoopings"]:
        turn = math.radians(-hooping["quilt_turn_deg"])
        cos, sin = math.cos(turn), math.sin(turn)
        cx, cy = hooping["centre"]
        runs = []
        for run in needle_points(files[hooping["file"]].read_bytes(), (0, 0), False):
            points = [(cx + (cos * x - sin * y) / 10, cy + (sin * x + cos * y) / 10) for x, y in run]
            runs.append([p for i, p in enumerate(points) if i == 0 or p != points[i - 1]])
        hoopings.append((hooping["pieces"][0], runs))
    return plan, hoopings
