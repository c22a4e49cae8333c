"""Work out the centre of gravity of a car from scale readings, and keep it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from hillbench.ballast.centre_of_gravity import cg_ahead_of_rear_axle, cg_height
from hillbench.errors import InvalidInput, Problem
from hillbench.records import reading_store, weighing_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Reading
from hillbench.uncertainty import Estimate, repeated_reading, resolution_uncertainty
from hillbench.usecases.keep_ballast_plan import KeptPlan
from hillbench.usecases.measure_car import measure_car

_STEPS_PER_UNCERTAINTY: Final = math.sqrt(12.0)
"""A step of that many standard uncertainties has the same uncertainty (JCGM 100, 4.3.7)."""

_ALIKE: Final = 2.0
"""Expanded uncertainties, k = 2: a difference within them is no difference."""


@dataclass(frozen=True, slots=True)
class AxleReadings:
    """What was read with a car on one scale.

    Attributes
    ----------
    rear_g
        Rear axle on the scale, the front axle level beside it, g; each time lifted off.
    raised_rear_g
        The same with the front axle raised, g; empty where that was not done.
    total_g
        The whole car, g.
    scale_step_g
        Smallest step of the scale, g.
    wheelbase_mm, raised_mm
        Wheelbase, and how much higher the front axle stood, mm; `raised_mm` 0 for not done.
    caliper_step_mm
        Smallest step of the caliper, mm.
    wheel_diameter_mm
        Of the wheels, mm.
    """

    rear_g: tuple[float, ...]
    raised_rear_g: tuple[float, ...]
    total_g: tuple[float, ...]
    scale_step_g: float
    wheelbase_mm: float
    raised_mm: float
    caliper_step_mm: float
    wheel_diameter_mm: float


@dataclass(frozen=True, slots=True)
class MeasuredBalance:
    """Where the centre of gravity is.

    Attributes
    ----------
    ahead
        Ahead of the rear axle, mm.
    height
        Above the track, mm; None where the front was not raised.
    share
        `ahead` as a share of the wheelbase.
    """

    ahead: Estimate
    height: Estimate | None
    share: float


def measure_balance(read: AxleReadings) -> MeasuredBalance:
    """Return the centre of gravity with its uncertainty.

    Raises
    ------
    InvalidInput
        Where readings are missing or contradict each other.
    """
    _require(read)
    rear = _mean(read.rear_g, read.scale_step_g)
    total = _mean(read.total_g, read.scale_step_g)
    length_u = resolution_uncertainty(read.caliper_step_mm)
    base = Estimate(read.wheelbase_mm, length_u)
    ahead = cg_ahead_of_rear_axle(rear, total, base)
    height = None
    if read.raised_rear_g:
        raised = _mean(read.raised_rear_g, read.scale_step_g)
        lift = Estimate(read.raised_mm, length_u)
        height = cg_height(rear, raised, total, base, lift, read.wheel_diameter_mm / 2.0)
    return MeasuredBalance(ahead, height, ahead.value / read.wheelbase_mm)


def keep_balance(
    book: BenchBook, car_id: int, balance: MeasuredBalance, now: datetime
) -> tuple[Reading, ...]:
    """Keep the place, and the height where there is one, as readings of the car.

    Raises
    ------
    InvalidInput
        If it does not go with what is known of the car.
    NotFound
        If there is no such car.
    """
    found = {"cg_ahead_of_rear_axle_mm": balance.ahead}
    if balance.height is not None:
        found["cg_height_mm"] = balance.height
    return measure_car(
        book,
        car_id,
        {name: round(one.value, 3) for name, one in found.items()},
        now,
        resolutions={
            name: round(one.standard_uncertainty * _STEPS_PER_UNCERTAINTY, 4)
            for name, one in found.items()
        },
        note="From the axle loads.",
    )


def latest_mass_g(book: BenchBook, car_id: int) -> tuple[tuple[float, ...], float]:
    """Return the readings of the last weighing and its step, g; none where there is none."""
    with book.read() as session:
        weighing = weighing_store.latest_weighing(session, car_id)
    return ((), 0.01) if weighing is None else (weighing.readings_g, weighing.scale_resolution_g)


@dataclass(frozen=True, slots=True)
class Comparison:
    """One coordinate of the centre of gravity, measured beside planned.

    Attributes
    ----------
    name
        Which.
    planned_mm
        Of the plan, mm.
    measured
        As it was measured, mm.
    agrees
        Whether the difference is within what measuring and laying by hand leave open.
    sentence
        The same in words.
    """

    name: str
    planned_mm: float
    measured: Estimate
    agrees: bool
    sentence: str


def compare_with_plan(
    book: BenchBook, car_id: int, plan: KeptPlan, found: MeasuredBalance | None
) -> tuple[Comparison, ...]:
    """Return the measured centre of gravity beside the planned one.

    Parameters
    ----------
    book
        The bench book.
    car_id
        The car.
    plan
        The plan it is built by.
    found
        What was just measured; None for the readings kept since the plan was chosen.
    """
    measured = found or _kept_since(book, car_id, plan)
    if measured is None:
        return ()
    by_hand_mm = plan.plan.sensitivity_mm
    told = [
        _compare("ahead of the rear axle", plan.plan.cg_ahead_of_rear_axle_mm, measured.ahead,
                 by_hand_mm)
    ]  # fmt: skip
    if measured.height is not None:
        told.append(_compare("above the track", plan.plan.cg_height_mm, measured.height, 0.0))
    return tuple(told)


def _kept_since(book: BenchBook, car_id: int, plan: KeptPlan) -> MeasuredBalance | None:
    """Return what was measured after the plan was chosen, None where nothing was."""
    with book.read() as session:
        readings = reading_store.current_readings(session, car_id)
    since = plan.record.chosen_at or plan.record.made_at
    estimates = {
        name: Estimate(one.value, resolution_uncertainty(one.resolution or 0.0))
        for name, one in readings.items()
        if one.at >= since
    }
    ahead = estimates.get("cg_ahead_of_rear_axle_mm")
    if ahead is None:
        return None
    share = ahead.value / plan.task.wheelbase_mm
    return MeasuredBalance(ahead, estimates.get("cg_height_mm"), share)


def _compare(name: str, planned_mm: float, measured: Estimate, by_hand_mm: float) -> Comparison:
    """Return one coordinate compared; laying by hand counts as half its full effect."""
    doubt = math.hypot(measured.standard_uncertainty, by_hand_mm / 2.0)
    off = measured.value - planned_mm
    agrees = abs(off) <= _ALIKE * doubt
    way = "more" if off > 0.0 else "less"
    sentence = (
        f"As planned, within {_ALIKE * doubt:.1f} mm."
        if agrees
        else f"{abs(off):.1f} mm {way} than planned, beyond the {_ALIKE * doubt:.1f} mm that "
        "measuring and laying by hand explain: weigh piece by piece, or measure again."
    )
    return Comparison(name, planned_mm, measured, agrees, sentence)


def _mean(readings_g: Sequence[float], step_g: float) -> Estimate:
    return repeated_reading(tuple(readings_g), step_g)


def _require(read: AxleReadings) -> None:
    problems = []
    if not read.rear_g:
        problems.append(Problem("rear_g", "empty", "one reading or more", "weigh the rear axle"))
    if not read.total_g:
        problems.append(Problem("total_g", "empty", "one reading or more", "weigh the whole car"))
    if read.raised_rear_g and not read.raised_mm > 0.0:
        remedy = "measure how much higher the front axle stood"
        problems.append(Problem("raised_mm", f"{read.raised_mm:g} mm", "more than 0 mm", remedy))
    level = max(read.rear_g, default=0.0)
    if read.raised_rear_g and read.rear_g and min(read.raised_rear_g) < level:
        seen = f"{min(read.raised_rear_g):g} g"
        allowed = f"more than level, {level:g} g: raised in front, the mass leans back"
        problems.append(Problem("raised_rear_g", seen, allowed, "raise it further, read again"))
    if problems:
        raise InvalidInput(problems)
