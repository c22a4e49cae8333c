"""Changes that are judged when the builder names none, and changes in pairs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from hillbench.fitting.change import Change, combined
from hillbench.fitting.cost import works_of
from hillbench.fitting.evidence import Evidence, Setup, measured_owners
from hillbench.fitting.readings import AS_IT_IS

ADDED_G: Final = 10.0
TRIMMED: Final = 0.85
FREEST: Final = "graphite"
MOST_PAIRS: Final = 3

_CG_SHIFT_MM: Final = 3.0
_BARE: Final = "dry"
"""State that nobody goes back to."""


def suggest_changes(
    evidence: Evidence, setup: Setup, mass_limit_g: float | None, scale_guard_g: float
) -> tuple[Change, ...]:
    """Return the changes that most builders think of, as far as they apply to a setup.

    Parameters
    ----------
    evidence
        Tells whether the car was rolled, and its states.
    setup
        The car as it is.
    mass_limit_g, scale_guard_g
        Limit of the class, or None, and what is kept below it, g.
    """
    return (
        *_weight(setup, mass_limit_g, scale_guard_g),
        *_balance(setup),
        *_lubrication(evidence, setup),
        *_straightening(evidence, setup),
        *([Change("trim 15 % of the drag area", drag_area_factor=TRIMMED)] * _has_drag(setup)),
    )


def pairs_of(changes: Sequence[Change]) -> tuple[Change, ...]:
    """Return the first pairs of changes that touch different things."""
    pairs = (
        combined(first, second)
        for number, first in enumerate(changes)
        for second in changes[number + 1 :]
        if not works_of(first) & works_of(second)
    )
    return tuple(pair for pair, _ in zip(pairs, range(MOST_PAIRS), strict=False))


def _weight(setup: Setup, limit_g: float | None, guard_g: float) -> Iterator[Change]:
    if limit_g is None:
        yield Change(f"add {ADDED_G:g} g", mass_g=setup.car.mass_g + ADDED_G)
    elif limit_g - guard_g > setup.car.mass_g + 0.1:
        most = round(limit_g - guard_g, 2)
        yield Change(f"add weight up to {most:g} g", mass_g=most)


def _balance(setup: Setup) -> Iterator[Change]:
    back = setup.car.cg_ahead_of_rear_axle_mm - _CG_SHIFT_MM
    if back > 0.2 * setup.car.wheelbase_mm:
        name = f"move the centre of gravity {_CG_SHIFT_MM:g} mm back"
        yield Change(name, cg_ahead_of_rear_axle_mm=back)


def _lubrication(evidence: Evidence, setup: Setup) -> Iterator[Change]:
    owners = measured_owners(evidence)
    own = f"{setup.name}, "
    states = {owner.removeprefix(own) for owner in owners if owner.startswith(own)} | {FREEST}
    for state in sorted(states - {setup.state, AS_IT_IS, _BARE}):
        yield Change(f"bring the bearings to “{state}”", state=state)


def _straightening(evidence: Evidence, setup: Setup) -> Iterator[Change]:
    if any(test.car == setup.name for test in evidence.roll_tests):
        yield Change("straighten the axles", steer_deg=0.0)


def _has_drag(setup: Setup) -> bool:
    return setup.car.drag_area_cm2 > 0.0
