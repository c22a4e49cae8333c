"""Whether a class allows a car as it is after a change."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.fitting.evidence import Setup

_NEARLY = 1e-9


@dataclass(frozen=True, slots=True)
class CarLimit:
    """Least and most that a class allows of one length of a car.

    Attributes
    ----------
    quantity
        A length of the car, as it is named there: ``wheelbase_mm``, ``wheel_diameter_mm`` or
        ``axle_diameter_mm``.
    least, most
        In mm; null for no limit on that side.
    guard
        Kept inside each limit for the sake of the instrument, mm.
    """

    quantity: str
    least: float | None = None
    most: float | None = None
    guard: float = 0.0

    def broken_by(self, value: float) -> bool:
        """Return whether a value is outside the limits."""
        low = self.least is not None and value < self.least + self.guard - _NEARLY
        high = self.most is not None and value > self.most - self.guard + _NEARLY
        return low or high

    def told(self, value: float) -> str:
        """Return in words what is wrong with a value."""
        ends = [f"at least {self.least:g}"] if self.least is not None else []
        ends += [f"at most {self.most:g}"] if self.most is not None else []
        guard = f" with {self.guard:g} mm for the caliper" if self.guard else ""
        name = self.quantity.removesuffix("_mm").replace("_", " ")
        return f"the class allows a {name} of {' and '.join(ends)} mm{guard}, not {value:g} mm"


@dataclass(frozen=True, slots=True)
class Aim:
    """What a change is held against.

    Attributes
    ----------
    target_time_s
        Time to be reached, s; null for none.
    mass_limit_g
        Most that the class allows, g; null for none.
    scale_guard_g
        Kept below the limit for the sake of the scale, g.
    limits
        What else the class limits.
    """

    target_time_s: float | None = None
    mass_limit_g: float | None = None
    scale_guard_g: float = 0.05
    limits: tuple[CarLimit, ...] = ()


def what_is_illegal(before: Setup, after: Setup, aim: Aim) -> str:
    """Return in words what a class does not allow of a changed car; empty where it is in order.

    A length that the change leaves as it was is no matter of the change.
    """
    limit_g = aim.mass_limit_g
    if limit_g is not None and after.car.mass_g > limit_g - aim.scale_guard_g + _NEARLY:
        guard = f" less {aim.scale_guard_g:g} g for the scale" if aim.scale_guard_g else ""
        return f"the class allows {limit_g:g} g{guard}"
    for limit in aim.limits:
        value = float(getattr(after.car, limit.quantity))
        if value != getattr(before.car, limit.quantity) and limit.broken_by(value):
            return limit.told(value)
    return ""
