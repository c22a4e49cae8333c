"""What a change will gain, as far as the readings allow to say."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.car_batch import CarBatch
from hillbench.coasting.result import Floats
from hillbench.fitting.change import Change
from hillbench.fitting.cost import Work, works_of
from hillbench.fitting.evidence import Setup, measured_owners
from hillbench.fitting.fit import Fit
from hillbench.fitting.legality import Aim, what_is_illegal
from hillbench.fitting.prediction import run_times
from hillbench.fitting.readings import TRACK

__all__ = ["Aim", "Forecast", "change_times", "forecast_changes", "times_at"]

MOST_STALLED: Final = 0.05
"""Share of draws that may stall before a forecast is refused."""

_STATE_SPREAD: Final = 0.3
_BELIEVED: Final = 0.75


@dataclass(frozen=True, slots=True)
class Forecast:
    """What one change does to the typical finish time.

    Attributes
    ----------
    change
        The change.
    gain_s
        Time gained, median, s; negative where the car gets slower; null where the car may
        stall.
    gain_low_s, gain_high_s
        5 and 95 % points of the gain, s.
    time_s
        Typical time afterwards, median, s.
    probability_faster
        Probability that the change gains anything.
    probability_target
        Probability that the typical time reaches the target; null without one.
    probability_stalls
        Probability that the car does not reach the finish any more.
    legal
        Whether the class allows the car afterwards; null without a limit.
    rests_on_belief
        Whether the gain comes from what is believed beforehand (a lubrication that was never
        measured, steer without runs that tell what it costs, a drag area or a steady drag that
        the runs do not tell) and not from readings.
    illegal
        What the class does not allow, in words; empty where it is in order.
    """

    change: Change
    gain_s: float | None
    gain_low_s: float | None
    gain_high_s: float | None
    time_s: float | None
    probability_faster: float | None
    probability_target: float | None
    probability_stalls: float
    legal: bool | None
    rests_on_belief: bool = False
    illegal: str = ""


def forecast_changes(
    fit: Fit, setup: Setup, changes: Sequence[Change], aim: Aim
) -> tuple[Forecast, ...]:
    """Return what each change gains against the setup as it is.

    Parameters
    ----------
    fit
        A fit that knows the setup and every state that a change leads to (see `fit`, `also`).
    setup
        The car as it is now.
    changes
        Changes of it.
    aim
        Target time and limit of the class.

    Notes
    -----
    The same draws run before and after, in one batch, so what is unknown to both cancels.
    Intervals are those of the typical time: one run scatters more.
    """
    before = change_times(fit, setup, None)
    return tuple(
        dataclasses.replace(
            _forecast(before, change_times(fit, setup, change), setup, change, aim),
            rests_on_belief=_rests_on_belief(fit, setup, change),
        )
        for change in changes
    )


def change_times(fit: Fit, setup: Setup, change: Change | None) -> Floats:
    """Return the finish time after a change for each draw, s; not a number where it stalls."""
    return times_at(fit, setup, change, fit.draws)


def times_at(fit: Fit, setup: Setup, change: Change | None, scores: Floats) -> Floats:
    """Return the finish time after a change at some scores, s, shape (k,)."""
    if change is None:
        return _finish_times(fit, fit.layout.batch(scores, [setup]))
    after = change.applied_to(setup)
    cars = fit.layout.batch(_straightened(fit, setup, change, scores), [after])
    area = cars.drag_area_cm2 * change.drag_area_factor
    friction = _friction_after(fit, setup, after, scores, cars)
    return _finish_times(
        fit, dataclasses.replace(cars, drag_area_cm2=area, bearing_friction=friction)
    )


def _finish_times(fit: Fit, cars: CarBatch) -> Floats:
    times: Floats = run_times(fit.evidence, cars)[-1]
    return times


def _friction_after(fit: Fit, setup: Setup, after: Setup, scores: Floats, cars: CarBatch) -> Floats:
    """Return the bearing friction after a change; that of a state never measured is related.

    Notes
    -----
    What makes one car's bearings rough stays when they are lubricated, so a state without any
    reading has the friction of the present one times the ratio of the two priors' medians,
    known within a factor exp(0.3) or so: common practice, no source.
    """
    place = fit.layout.places.get(("bearing_friction", after.owner))
    now = fit.layout.places.get(("bearing_friction", setup.owner))
    same = after.owner == setup.owner or after.owner in measured_owners(fit.evidence)
    if place is None or now is None or same:
        return cars.bearing_friction
    unknown, present = fit.layout.unknowns[place], fit.layout.unknowns[now]
    ratio = unknown.centre / present.centre * np.exp(_STATE_SPREAD * scores[:, place])
    friction: Floats = present.values(scores[:, now]) * ratio
    return friction


def _straightened(fit: Fit, setup: Setup, change: Change, scores: Floats) -> Floats:
    """Return scores with the steer after the change in place of that before."""
    place = fit.layout.places.get(("steer_deg", setup.name))
    if place is None or change.steer_deg is None:
        return scores
    unknown = fit.layout.unknowns[place]
    moved = scores.copy()
    moved[:, place] = (change.steer_deg - unknown.centre) / unknown.spread
    return moved


def _forecast(before: Floats, after: Floats, setup: Setup, change: Change, aim: Aim) -> Forecast:
    possible = np.isfinite(before) & np.isfinite(after)
    stalls = 1.0 - float(np.mean(possible))
    illegal = what_is_illegal(setup, change.applied_to(setup), aim)
    legal = None if aim.mass_limit_g is None and not aim.limits else not illegal
    if stalls > MOST_STALLED:
        return Forecast(change, None, None, None, None, None, None, stalls, legal, illegal=illegal)
    gain = before[possible] - after[possible]
    low, middle, high = np.quantile(gain, [0.05, 0.5, 0.95])
    reached = (
        None
        if aim.target_time_s is None
        else float(np.mean(np.where(possible, after <= aim.target_time_s, False)))
    )
    return Forecast(
        change,
        float(middle),
        float(low),
        float(high),
        float(np.median(after[possible])),
        float(np.mean(gain > 0.0)),
        reached,
        stalls,
        legal,
        illegal=illegal,
    )


def _rests_on_belief(fit: Fit, setup: Setup, change: Change) -> bool:
    after = change.applied_to(setup).owner
    if after != setup.owner and after not in measured_owners(fit.evidence):
        return True
    works = works_of(change)
    drag, area = ("steady_drag_mn", setup.name), ("drag_area_cm2", setup.name)
    believed = {
        Work.AXLES: _is_believed(fit, ("scrub_per_deg", TRACK)),
        Work.AIR: _is_believed(fit, area),
        Work.WEIGHT: _is_believed(fit, drag) and _is_believed(fit, area),
    }
    return any(believed.get(work, False) for work in works)


def _is_believed(fit: Fit, key: tuple[str, str]) -> bool:
    """Return whether the readings tell hardly more of an unknown than was believed before."""
    place = fit.layout.places.get(key)
    return place is not None and float(np.std(fit.draws[:, place])) > _BELIEVED
