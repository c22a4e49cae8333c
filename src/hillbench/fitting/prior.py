"""What is known of each unknown before any reading, with its source."""

from __future__ import annotations

from typing import Final

from hillbench.fitting.readings import TRACK
from hillbench.fitting.unknown import Shape, Unknown

_TABLES: Final = (
    "friction tables, which disagree by a factor of two: used for the range only; "
    "spread: common practice, no source"
)
_OURS: Final = "common practice, no source"

BEARING_MEDIANS: Final = {"dry": 0.25, "graphite": 0.15, "oil": 0.15}
"""Median bearing friction by name of the lubrication state."""

_BEARING_MEDIAN: Final = 0.20

SCATTER_SHARE: Final = 0.006
"""Median standard deviation of the time from run to run over the typical time."""

DELAY_SHARE: Final = 0.03
"""Mean delay of a bad run over the typical time."""

BAD_RATE_EXPONENT: Final = 15.0
"""Second exponent of the beta distribution of the rate of bad runs: 1 in 16 on average."""


def rolling_resistance(surface: str = TRACK) -> Unknown:
    """Return the rolling resistance of a surface: 90 % within 0.0025 and 0.025."""
    return Unknown("rolling_resistance", surface, "", Shape.LOG_NORMAL, 0.008, 0.7, _OURS)


def wall_friction() -> Unknown:
    """Return the friction between car and walls: 90 % within 0.09 and 0.46."""
    return Unknown("wall_friction", TRACK, "", Shape.LOG_NORMAL, 0.2, 0.5, _TABLES)


def scrub_per_deg() -> Unknown:
    """Return the rolling resistance that each degree of steer adds, 1/°.

    Notes
    -----
    An axle that is held straight while it points aside by δ slides: its wheels resist with
    about μ N sin δ. Half the load and μ = 0.3 make 0.0026 for 1°. Where a wall holds the car it
    bears the side force too, and rubs with its own friction: up to 0.06 for 1° on a tread that
    leans fully at 0.5°, more on a hard one. Which of the two it is depends on the hill, so 90 %
    lie within 0.0025 and 0.09; linear in δ up to about 0.5°.
    """
    source = (
        "sliding of one axle, half the load at μ = 0.3, to a wall that holds it at a friction of "
        "0.2; spread: common practice, no source"
    )
    return Unknown("scrub_per_deg", TRACK, "1/deg", Shape.LOG_NORMAL, 0.015, 1.1, source)


def bearing_load_exponent() -> Unknown:
    """Return the power of the load in the bearing friction, even between -1/3 and 0."""
    source = "Coulomb's law, 0, to a smooth elastic (Hertz) contact, -1/3; even in between"
    return Unknown("bearing_load_exponent", "cars", "", Shape.UNIFORM, -1.0 / 3.0, 0.0, source)


def steady_drag_mn(car: str) -> Unknown:
    """Return the drag of a car that depends on neither load nor speed: 0.06 to 1.6 mN."""
    return Unknown("steady_drag_mn", car, "mN", Shape.LOG_NORMAL, 0.3, 1.0, _OURS)


def drag_area_cm2(car: str, stated: float, spread: float) -> Unknown:
    """Return the drag area of a car about the stated one."""
    source = (
        "the car's stated drag area; spread: drag coefficients of bluff bodies (Munson, Young "
        "and Okiishi, Fundamentals of Fluid Mechanics, fig. 9.19 and 9.20)"
    )
    return Unknown("drag_area_cm2", car, "cm2", Shape.LOG_NORMAL, stated, spread, source)


def bearing_friction(car: str, state: str) -> Unknown:
    """Return the bearing friction of a car in a lubrication state: a factor of 2.3 each way."""
    median = BEARING_MEDIANS.get(state, _BEARING_MEDIAN)
    owner = f"{car}, {state}"
    return Unknown("bearing_friction", owner, "", Shape.LOG_NORMAL, median, 0.5, _TABLES)


def steer_deg(car: str, measured: float, uncertainty: float) -> Unknown:
    """Return the steer of a car as its roll tests gave it."""
    source = "the car's roll tests"
    return Unknown("steer_deg", car, "deg", Shape.NORMAL, measured, uncertainty, source)


def spin_scale(car: str, spread: float) -> Unknown:
    """Return the error that all spin-downs of a car share, as a logarithm."""
    source = "the stated uncertainty of wheel inertia, wheel and axle"
    return Unknown("spin_scale", car, "", Shape.NORMAL, 0.0, spread, source)


def mass_g(owner: str, weighed: float, uncertainty: float) -> Unknown:
    """Return the mass of a car as it was weighed."""
    return Unknown("mass_g", owner, "g", Shape.NORMAL, weighed, uncertainty, "the weighing")


def run_scatter_s(typical_s: float) -> Unknown:
    """Return the standard deviation of a finish time from run to run."""
    return Unknown(
        "run_scatter_s", TRACK, "s", Shape.LOG_NORMAL, SCATTER_SHARE * typical_s, 0.8, _OURS
    )


def bad_rate() -> Unknown:
    """Return the share of runs that something delays: Beta(1, 15)."""
    return Unknown("bad_rate", TRACK, "", Shape.BETA, 1.0, BAD_RATE_EXPONENT, _OURS)
