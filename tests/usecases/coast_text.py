"""The example of the file format, as text."""

from __future__ import annotations

import json
from typing import Any

EXAMPLE: dict[str, Any] = {
    "track": {
        "slope_points": [
            {"at_m": 0.0, "slope_deg": 20.0},
            {"at_m": 2.0, "slope_deg": 20.0},
            {"at_m": 3.0, "slope_deg": 0.0},
        ],
        "bends": [{"from_m": 4.0, "to_m": 4.8, "turn_deg": 90.0, "bank_deg": 0.0}],
        "finish_at_m": 6.0,
        "gates_at_m": [3.0, 5.0],
    },
    "car": {
        "mass_g": 37.0,
        "wheelbase_mm": 40.0,
        "cg_ahead_of_rear_axle_mm": 20.0,
        "cg_height_mm": 9.0,
        "nose_ahead_of_front_axle_mm": 0.0,
        "wheel_diameter_mm": 10.0,
        "axle_diameter_mm": 1.0,
        "wheel_mass_g": 0.7,
        "wheel_inertia_factor": 0.5,
        "wheel_count": 4,
        "drag_area_cm2": 4.0,
    },
    "losses": {
        "bearing_friction": 0.22,
        "bearing_load_exponent": 0.0,
        "rolling_resistance": 0.010,
        "steady_drag_mn": 0.5,
        "wall_friction": 0.2,
    },
    "air_density_kg_m3": 1.20,
    "gravity_m_s2": 9.80665,
}


def example_text(**changed: Any) -> str:
    """Return the example; `track__finish_at_m=9` changes a value two levels down."""
    whole = json.loads(json.dumps(EXAMPLE))
    for path, value in changed.items():
        *parents, last = path.split("__")
        part = whole
        for parent in parents:
            part = part[parent]
        part[last] = value
    return json.dumps(whole)
