"""What slows a car: bearings, rolling, steady drag and wall friction."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.errors import InvalidInput, Problem


@dataclass(frozen=True, slots=True)
class Losses:
    """Loss coefficients of one car in one state on one track.

    Attributes
    ----------
    bearing_friction
        Coefficient of friction between axle and bearing at the reference load.
    rolling_resistance
        Rolling resistance over load, dimensionless.
    steady_drag_mn
        Force that depends on neither load nor speed, mN.
    wall_friction
        Coefficient of friction between car and wall.
    bearing_load_exponent
        Power of the axle load in the bearing friction, -1/3 to 0; 0 is Coulomb's law, -1/3
        a smooth elastic contact.
    """

    bearing_friction: float = 0.0
    rolling_resistance: float = 0.0
    steady_drag_mn: float = 0.0
    wall_friction: float = 0.0
    bearing_load_exponent: float = 0.0


LOSS_RANGES: dict[str, tuple[float, float, str]] = {
    "bearing_friction": (0.0, 2.0, ""),
    "rolling_resistance": (0.0, 0.5, ""),
    "steady_drag_mn": (0.0, 1000.0, "mN"),
    "wall_friction": (0.0, 2.0, ""),
    "bearing_load_exponent": (-1.0 / 3.0, 0.0, ""),
}
"""Least and most of each loss, with its unit."""


def check_losses(losses: Losses) -> tuple[Problem, ...]:
    """Return every loss that is out of range; empty when there is none."""
    return tuple(
        Problem(
            f"losses.{name}",
            f"{getattr(losses, name):g} {unit}".rstrip(),
            f"between {least:.4g} and {most:g} {unit}".rstrip(),
        )
        for name, (least, most, unit) in LOSS_RANGES.items()
        if not least - 1e-9 <= getattr(losses, name) <= most
    )


def require_losses(losses: Losses) -> Losses:
    """Return the losses unchanged, or raise `InvalidInput` with every problem."""
    problems = check_losses(losses)
    if problems:
        raise InvalidInput(problems)
    return losses
