"""Simulated runs for tests."""

from __future__ import annotations

import numpy as np

from hillbench.timing.run import TimedRun


def simulated(
    order: str,
    rng: np.random.Generator,
    *,
    faster_s: dict[str, float] | None = None,
    spread_s: float = 0.05,
    typical_s: float = 10.5,
) -> list[TimedRun]:
    """Return one run for each letter, in order; `faster_s` is taken off a car's times."""
    gains = faster_s or {}
    return [
        TimedRun(car, typical_s - gains.get(car, 0.0) + spread_s * float(rng.standard_normal()))
        for car in order
    ]
