"""A change to a car: what it does, what it costs and whether the class allows it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from hillbench.coasting.car import Car, check_car
from hillbench.errors import Problem
from hillbench.fitting.evidence import Setup

WHEEL_FIELDS: Final = (
    "wheel_diameter_mm",
    "axle_diameter_mm",
    "wheel_mass_g",
    "wheel_inertia_factor",
)


@dataclass(frozen=True, slots=True)
class Change:
    """One change or several done together.

    Attributes
    ----------
    name
        What is done, as it is told.
    mass_g
        Mass of the whole car afterwards, g; null for no change.
    cg_ahead_of_rear_axle_mm, cg_height_mm
        Place of the centre of gravity afterwards, mm; null for no change.
    state
        Lubrication afterwards, in a word; null for no change.
    steer_deg
        Steer afterwards, degrees without sign; null for no change. Tells something only where
        the car was rolled.
    wheel_diameter_mm, axle_diameter_mm, wheel_mass_g, wheel_inertia_factor
        The wheels afterwards; null for no change. The mass of the car stays as stated.
    drag_area_factor
        Drag area afterwards over before.
    minutes, cost
        What it takes, minutes and money in any one currency; null where it is not known.
    cost_of
        What the money is for, in words; may be empty.
    parts
        How many single changes these are.
    """

    name: str
    mass_g: float | None = None
    cg_ahead_of_rear_axle_mm: float | None = None
    cg_height_mm: float | None = None
    state: str | None = None
    steer_deg: float | None = None
    wheel_diameter_mm: float | None = None
    axle_diameter_mm: float | None = None
    wheel_mass_g: float | None = None
    wheel_inertia_factor: float | None = None
    drag_area_factor: float = 1.0
    minutes: float | None = None
    cost: float | None = None
    cost_of: str = ""
    parts: int = 1

    def applied_to(self, setup: Setup) -> Setup:
        """Return the setup after the change; steer and drag area are not part of it."""
        names = ("mass_g", "cg_ahead_of_rear_axle_mm", "cg_height_mm", *WHEEL_FIELDS)
        stated = {name: getattr(self, name) for name in names}
        car = replace(setup.car, **{k: v for k, v in stated.items() if v is not None})
        return replace(setup, car=car, state=self.state or setup.state)


def combined(first: Change, second: Change) -> Change:
    """Return both changes done together; the second wins where both change the same thing."""
    names = (
        "mass_g", "cg_ahead_of_rear_axle_mm", "cg_height_mm", "state", "steer_deg", *WHEEL_FIELDS,
    )  # fmt: skip
    later = {name: getattr(second, name) for name in names}
    return replace(
        first,
        name=f"{first.name}, and {second.name}",
        drag_area_factor=first.drag_area_factor * second.drag_area_factor,
        minutes=_sum(first.minutes, second.minutes),
        cost=_sum(first.cost, second.cost),
        cost_of=", ".join(one.cost_of for one in (first, second) if one.cost_of),
        parts=first.parts + second.parts,
        **{name: value for name, value in later.items() if value is not None},
    )


def check_change(change: Change, setup: Setup, place: str) -> tuple[Problem, ...]:
    """Return what is wrong with a change to a setup; `place` is its path in the file."""
    problems = [
        Problem(f"{place}.{p.where.removeprefix('car.')}", p.seen, p.allowed, p.remedy)
        for p in check_car(change.applied_to(setup).car)
    ]
    if not 0.05 <= change.drag_area_factor <= 5.0:
        seen = f"{change.drag_area_factor:g}"
        problems.append(Problem(f"{place}.drag_area_factor", seen, "between 0.05 and 5"))
    if change.steer_deg is not None and not 0.0 <= change.steer_deg <= 45.0:
        seen = f"{change.steer_deg:g} deg"
        problems.append(Problem(f"{place}.steer_deg", seen, "between 0 and 45 deg"))
    for name in ("minutes", "cost"):
        value = getattr(change, name)
        if value is not None and not value >= 0.0:
            problems.append(Problem(f"{place}.{name}", f"{value:g}", "0 or more"))
    return tuple(problems)


def with_wheels_of(change: Change, car: Car) -> Change:
    """Return the change with the wheels of another car put on as well."""
    return replace(change, **{name: getattr(car, name) for name in WHEEL_FIELDS})


def _sum(first: float | None, second: float | None) -> float | None:
    return None if first is None or second is None else first + second
