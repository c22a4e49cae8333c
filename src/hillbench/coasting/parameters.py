"""Rows of the parameter matrix that the marching kernel reads, SI units."""

from __future__ import annotations

from typing import Final

LAMBDA: Final = 0
"""Share of the front axle: CG ahead of the rear axle over the wheelbase."""

CG_HEIGHT: Final = 1
"""Height of the CG above the track, m."""

MASS: Final = 2
"""Mass, kg."""

WEIGHT: Final = 3
"""Mass times gravity, N."""

LOAD_LOSS: Final = 4
"""Loss in proportion to load, over normal force, at the reference load."""

STEADY: Final = 5
"""Steady drag, N."""

DRAG: Final = 6
"""Air drag over speed squared, N/(m/s)²."""

WALL: Final = 7
"""Wall friction times mass, kg."""

PITCH: Final = 8
"""Pitch inertia about the CG, kg m²."""

WHEELS: Final = 9
"""Sum of wheel inertia over radius squared, kg."""

ROLLING: Final = 10
"""Rolling resistance."""

BEARING: Final = 11
"""Bearing loss over normal force when the normal force equals the weight."""

EXPONENT: Final = 12
"""Power of the load in the bearing friction."""

GRAVITY: Final = 13
"""Acceleration of free fall, m/s²."""

COUNT: Final = 14
"""Number of rows."""

LEAST_ARM: Final = 0.1
"""Least of 1 - h κv, the speed of the CG over that of the wheels. Slopes typed a millimetre
apart make a valley tighter than the CG is high, where the formula would turn the CG back: such a
valley is a kink, and what it does to a run does not depend on its length."""
