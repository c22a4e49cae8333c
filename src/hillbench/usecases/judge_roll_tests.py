"""Judge the roll tests of a car: how it steers, which axle does it, and what that costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from hillbench.coasting.roll_series import AxleSteer
from hillbench.fitting.prior import scrub_per_deg
from hillbench.records.bench_test_entities import FloorRoll, RollTestRecord, Travel, Way
from hillbench.usecases.evidence_of_tests import read_roll_tests
from hillbench.usecases.hill_of_car import HillOfCar, time_on_hill


@dataclass(frozen=True, slots=True)
class Scrub:
    """What a steer costs where walls or luck hold the car straight.

    Attributes
    ----------
    rolling, rolling_low, rolling_high
        Rolling resistance that it adds, and its 90 % interval.
    lost_s
        Time that this takes on the hill, and its interval, s; None without a hill, or where the
        car would not finish.
    track_name
        The hill; empty where there is none.
    """

    rolling: float
    rolling_low: float
    rolling_high: float
    lost_s: tuple[float, float, float] | None
    track_name: str


@dataclass(frozen=True, slots=True)
class RollsJudged:
    """What the rolls since the axles were set say.

    Attributes
    ----------
    axles
        How it steers and what each axle does.
    scrub
        What that costs.
    rolls
        All rolls that count, earliest first.
    since
        When the first of them was made.
    tail_first, back, turned
        Whether any roll was tail first, back along the floor, or with an axle turned.
    aim_uncertainty_deg
        The best aim of all.
    """

    axles: AxleSteer
    scrub: Scrub
    rolls: tuple[FloorRoll, ...]
    since: datetime
    tail_first: bool
    back: bool
    turned: bool
    aim_uncertainty_deg: float


def judge_roll_tests(
    tests: Sequence[RollTestRecord], wheelbase_mm: float, hill: HillOfCar | None
) -> RollsJudged | None:
    """Return what roll tests say; None where there is none.

    Parameters
    ----------
    tests
        Roll tests of a car, latest first.
    wheelbase_mm
        Distance between its axles, mm.
    hill
        The hill on which the steer costs time; None where there is none.
    """
    counted = since_straightened(tests)
    if not counted:
        return None
    rolls = tuple(roll for test in counted for roll in test.rolls)
    axles = read_roll_tests(counted, wheelbase_mm)
    return RollsJudged(
        axles=axles,
        scrub=predict_scrub(abs(axles.steer.steer_angle_deg.value), hill),
        rolls=rolls,
        since=counted[0].at,
        tail_first=any(roll.travel is Travel.TAIL_FIRST for roll in rolls),
        back=any(roll.way is Way.BACK for roll in rolls),
        turned=len({roll.turned for roll in rolls}) > 1,
        aim_uncertainty_deg=min(test.aim_uncertainty_deg for test in counted),
    )


def since_straightened(tests: Sequence[RollTestRecord]) -> tuple[RollTestRecord, ...]:
    """Return the tests since the axles were set anew, earliest first, from latest first."""
    counted: list[RollTestRecord] = []
    for test in tests:
        counted.append(test)
        if test.straightened:
            break
    return tuple(reversed(counted))


def predict_scrub(steer_deg: float, hill: HillOfCar | None) -> Scrub:
    """Return what a steer costs, from the sliding of one axle.

    Parameters
    ----------
    steer_deg
        Steer angle without sign, degrees.
    hill
        The hill; None where there is none.

    Notes
    -----
    Rolling resistance per degree and its spread are those that a fit begins with, see
    `hillbench.fitting.prior.scrub_per_deg`; a fit of runs then says better.
    """
    per_deg = scrub_per_deg()
    low, high = per_deg.prior_interval()
    rolling = [steer_deg * share for share in (per_deg.centre, low, high)]
    lost = None if hill is None else _lost_s(hill, rolling)
    return Scrub(rolling[0], rolling[1], rolling[2], lost, hill.track_name if hill else "")


def _lost_s(hill: HillOfCar, rolling: Sequence[float]) -> tuple[float, float, float] | None:
    own = hill.scene.losses.rolling_resistance
    straight = time_on_hill(hill)
    times = [time_on_hill(hill, rolling_resistance=own + more) for more in rolling]
    if straight is None or None in times:
        return None
    middle, low, high = (time_s - straight for time_s in times if time_s is not None)
    return middle, low, high
