from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest

from hillbench.coasting.car import CAR_RANGES, Car, check_car, require_car
from hillbench.errors import InvalidInput

CAR = Car(37.0, 40.0, 20.0, 9.0, 10.0, 1.0, wheel_mass_g=0.7)


def test_a_car_without_problems_comes_back_unchanged() -> None:
    assert require_car(CAR) is CAR


def test_an_ideal_car_is_allowed() -> None:
    ideal = dataclasses.replace(CAR, cg_height_mm=0.0, wheel_mass_g=0.0, axle_diameter_mm=0.0)
    assert check_car(dataclasses.replace(ideal, wheel_count=0, drag_area_cm2=0.0)) == ()


def test_a_slipped_decimal_point_is_named() -> None:
    with pytest.raises(InvalidInput) as caught:
        require_car(dataclasses.replace(CAR, mass_g=3700.0))
    (problem,) = caught.value.problems
    assert problem.where == "car.mass_g"
    assert "3700 g" in problem.sentence()
    assert "decimal point" in problem.sentence()


@pytest.mark.parametrize("name", CAR_RANGES)
def test_each_quantity_is_held_to_its_range(name: str) -> None:
    least, most, _ = CAR_RANGES[name]
    for value in (least - 1.0, most + 1.0, math.nan, math.inf, -math.inf):
        changed: dict[str, Any] = {name: value}
        problems = check_car(dataclasses.replace(CAR, **changed))
        assert f"car.{name}" in [problem.where for problem in problems], value


@pytest.mark.parametrize("ahead_mm", [-0.1, 40.1, math.nan, math.inf])
def test_the_cg_lies_between_the_axles(ahead_mm: float) -> None:
    (problem,) = check_car(dataclasses.replace(CAR, cg_ahead_of_rear_axle_mm=ahead_mm))
    assert problem.where == "car.cg_ahead_of_rear_axle_mm"
    assert "nose or tail" in problem.remedy


@pytest.mark.parametrize("ahead_mm", [0.0, 40.0])
def test_the_cg_may_stand_over_an_axle(ahead_mm: float) -> None:
    assert check_car(dataclasses.replace(CAR, cg_ahead_of_rear_axle_mm=ahead_mm)) == ()


def test_an_axle_fits_in_its_wheel() -> None:
    (problem,) = check_car(dataclasses.replace(CAR, axle_diameter_mm=10.0))
    assert problem.where == "car.axle_diameter_mm"


def test_wheels_weigh_no_more_than_the_car() -> None:
    (problem,) = check_car(dataclasses.replace(CAR, wheel_mass_g=9.3))
    assert problem.where == "car.wheel_mass_g"
    assert "4 wheels" in problem.seen
