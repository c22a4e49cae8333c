"""Front and rear axle told apart by rolls, or honestly not."""

from __future__ import annotations

import dataclasses
import math

import pytest

from hillbench.coasting.roll_series import AimedRoll, AxleSteer, read_rolls
from hillbench.coasting.roll_test import Roll, read_roll
from hillbench.errors import InvalidInput
from hillbench.uncertainty import Estimate


def drift_mm(front_deg: float, rear_deg: float, floor_1_m: float = 0.0, **how: bool) -> float:
    """Return the drift over 2 m of small angles, by hand: y = D δ_r ± κ D²/2 ± φ D²/2."""
    front, rear = math.radians(front_deg), math.radians(rear_deg)
    curvature = (front - rear) / 0.042
    ends = -1.0 if how.get("tail_first") else 1.0
    ways = -1.0 if how.get("back") else 1.0
    return 1e3 * (2.0 * rear + ends * curvature * 2.0 + ways * floor_1_m * 2.0)


def rolled(
    front_deg: float, rear_deg: float, floor_1_m: float, *hows: dict[str, bool]
) -> list[AimedRoll]:
    return [AimedRoll(2.0, drift_mm(front_deg, rear_deg, floor_1_m, **how), **how) for how in hows]


def read(rolls: list[AimedRoll], drift_mm: float, aim_deg: float) -> AxleSteer:
    """Read rolls of one car with a wheelbase of 42 mm that are known equally well."""
    return read_rolls(
        [
            dataclasses.replace(roll, drift_uncertainty_mm=drift_mm, aim_uncertainty_deg=aim_deg)
            for roll in rolls
        ],
        42.0,
    )


NOSE: dict[str, bool] = {}
TAIL = {"tail_first": True}
BACK = {"back": True}


def test_one_roll_says_what_the_circle_says() -> None:
    steer = read([AimedRoll(2.0, 30.0)], 1.0, 0.05).steer
    circle = read_roll(Roll(Estimate(2.0, 0.0), Estimate(30.0, 1.0), Estimate(42.0, 0.0)))
    # The prior holds front and rear near nothing: it takes a thousandth of so small an angle.
    assert steer.steer_angle_deg.value == pytest.approx(circle.steer_angle_deg.value, rel=0.2)
    assert steer.steer_angle_deg.standard_uncertainty > circle.steer_angle_deg.standard_uncertainty


def test_floor_out_of_level_is_taken_out_by_rolling_back() -> None:
    one_way = read(rolled(0.0, 0.0, 0.01, NOSE, NOSE), 1.0, 0.02)
    both = read(rolled(0.0, 0.0, 0.01, NOSE, BACK), 1.0, 0.02)
    assert abs(both.steer.curvature_1_m.value) < 0.1 * abs(one_way.steer.curvature_1_m.value)
    assert both.floor_1_m.value == pytest.approx(0.01, abs=0.001)


def test_tail_first_tells_front_from_rear_where_the_aim_is_fine() -> None:
    ways = [NOSE, TAIL, BACK, {**TAIL, **BACK}]
    for front, rear in ((0.4, 0.0), (0.0, 0.4), (0.3, -0.3)):
        told = read(rolled(front, rear, 0.003, *ways), 1.0, 0.03)
        assert told.front_deg.value == pytest.approx(front, abs=0.05)
        assert told.rear_deg.value == pytest.approx(rear, abs=0.05)
        # Where both are out, neither alone is to blame.
        assert (told.probability_front > 0.9) is (rear == 0.0)
        assert (told.probability_rear > 0.9) is (front == 0.0)


def test_rolls_nose_first_alone_do_not_pretend_to_know_the_axle() -> None:
    told = read(rolled(0.1, 0.0, 0.0, NOSE, BACK), 2.0, 0.5)
    assert 0.05 < told.probability_front < 0.9
    assert told.probability_rear < 0.9
    assert told.left[0] > 0.65


def test_an_axle_turned_end_for_end_tells_itself_from_its_seat() -> None:
    # The axle is bent: turned over, the car drifts to the other side.
    bent = [
        AimedRoll(2.0, drift_mm(0.3, 0.0)),
        AimedRoll(2.0, drift_mm(0.3, 0.0, back=True), back=True),
        AimedRoll(2.0, drift_mm(-0.3, 0.0), front_turned=True),
        AimedRoll(2.0, drift_mm(-0.3, 0.0, back=True), back=True, front_turned=True),
    ]
    tail = [
        AimedRoll(2.0, drift_mm(0.3, 0.0, tail_first=True), tail_first=True),
        AimedRoll(2.0, drift_mm(-0.3, 0.0, tail_first=True), tail_first=True, front_turned=True),
    ]
    told = read([*tail, *bent], 1.0, 0.03)
    assert told.probability_axle[0] > 0.95
    assert [round(one.value, 1) for one in told.as_turned_deg[:2]] == [0.3, -0.3]
    # Whether the rear would do the same nobody has tried.
    assert told.as_turned_deg[2].standard_uncertainty > 0.2
    assert told.steer.steer_angle_deg.value == pytest.approx(-0.3, abs=0.02)
    # The seat is skewed: turned over, nothing changes.
    skewed = [
        AimedRoll(2.0, drift_mm(0.3, 0.0), front_turned=turned, back=back)
        for turned in (False, True)
        for back in (False, True)
    ]
    assert read(skewed, 1.0, 0.1).probability_axle[0] < 0.2


@pytest.mark.parametrize(
    ("rolls", "place"),
    [
        ([], "rolls"),
        ([AimedRoll(0.0, 1.0)], "length_m"),
        ([AimedRoll(math.nan, 1.0)], "length_m"),
        ([AimedRoll(1.0, 1001.0)], "drift_mm"),
    ],
)
def test_rolls_that_cannot_be_are_refused(rolls: list[AimedRoll], place: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        read(rolls, 1.0, 0.1)
    assert [problem.where for problem in caught.value.problems] == [place]


def test_each_sitting_has_a_floor_of_its_own() -> None:
    rolls = [
        *rolled(0.2, 0.0, 0.01, NOSE, BACK),
        *(dataclasses.replace(one, sitting=1) for one in rolled(0.2, 0.0, -0.02, NOSE, BACK)),
    ]
    told = read(rolls, 1.0, 0.05)
    assert told.floor_1_m.value == pytest.approx(-0.02, abs=0.002)
    assert told.steer.steer_angle_deg.value == pytest.approx(0.2, abs=0.01)
