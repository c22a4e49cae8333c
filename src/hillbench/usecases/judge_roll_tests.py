"""Judge the roll tests of a car: how it steers, which axle does it, and what that costs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from hillbench.coasting.roll_series import AxleSteer
from hillbench.records.bench_test_entities import FloorRoll, RollTestRecord, Travel, Way
from hillbench.usecases.evidence_of_tests import read_roll_tests
from hillbench.usecases.hill_of_car import HillOfCar, time_on_hill

SLIDING: Final = 0.3
"""Coefficient of friction of a wheel that slides sideways; friction tables, from memory."""

LEANS_FULLY_DEG: Final = 0.5
STIFF_TREAD_DEG: Final = 0.1
"""Steer from which on a wheel held aside slides outright, as a rule and for a hard tread. Below,
the tread gives way and the side force is in proportion.

In rolling contact creep is complete at about μ a/R (F. W. Carter, Proceedings of the Royal Society
A 112, 151, 1926, from memory): 0.5° for μ = 0.3, a contact of half-length a = 0.15 mm and a wheel
of R = 5 mm; 0.1° for one of 0.03 mm. The two half-lengths: common practice, no source.
"""

TYPICAL_WALL_FRICTION: Final = 0.2


@dataclass(frozen=True, slots=True)
class Scrub:
    """What a steer costs where walls or luck hold the car straight.

    Attributes
    ----------
    rolling, rolling_least, rolling_most
        Force over weight that it adds: as expected, where no wall ever holds the car, and with
        hard treads.
    lost_s
        Time that these take on the hill, s; None without a hill, or where the car would not
        finish.
    track_name
        The hill; empty where there is none.
    """

    rolling: float
    rolling_least: float
    rolling_most: float
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
    """Return what a steer costs, from the sliding of one axle and the wall that holds it.

    Parameters
    ----------
    steer_deg
        Steer angle without sign, degrees.
    hill
        The hill; None where there is none.

    Notes
    -----
    One axle carries about half the load. Held straight, it points aside by δ and slides: along
    the track that takes μ N/2 sin δ. Where a wall holds it, the wall bears the side force, up to
    μ N/2, and rubs with its own friction μw: μw μ N/2 min(1, δ/0.5°), 0.1° for a hard tread, on
    the part of the track that is straight; in a bend the wall bears more anyway. Both are
    Coulomb's law. A fit of runs says better what steer costs.
    """
    wall_friction = TYPICAL_WALL_FRICTION if hill is None else hill.scene.losses.wall_friction
    slide = SLIDING / 2.0 * math.sin(math.radians(steer_deg))
    lean = wall_friction * SLIDING / 2.0 * (1.0 if hill is None else _straight_share(hill))
    usual, most = (min(1.0, steer_deg / deg) for deg in (LEANS_FULLY_DEG, STIFF_TREAD_DEG))
    rolling = (slide + lean * usual, slide, slide + lean * most)
    lost = None if hill is None else _lost_s(hill, rolling)
    return Scrub(*rolling, lost, hill.track_name if hill else "")


def _straight_share(hill: HillOfCar) -> float:
    """Return the part of the track that lies outside of bends."""
    track = hill.scene.track.track
    bent_m = math.fsum(bend.to_m - bend.from_m for bend in track.bends)
    return min(max(1.0 - bent_m / track.finish_at_m, 0.0), 1.0)


def _lost_s(hill: HillOfCar, rolling: Sequence[float]) -> tuple[float, float, float] | None:
    own = hill.scene.losses.rolling_resistance
    straight = time_on_hill(hill)
    times = [time_on_hill(hill, rolling_resistance=own + more) for more in rolling]
    if straight is None or None in times:
        return None
    middle, low, high = (time_s - straight for time_s in times if time_s is not None)
    return middle, low, high
