"""The figures in the guide are what the model gives for the car and hill they speak of."""

from __future__ import annotations

import dataclasses
import re

import pytest

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.run import coast
from hillbench.help import PAGES, read_help
from tests.browser.hills import WINDING

CAR = Car(
    mass_g=37.0,
    wheelbase_mm=42.0,
    cg_ahead_of_rear_axle_mm=18.9,
    cg_height_mm=9.0,
    wheel_diameter_mm=10.5,
    axle_diameter_mm=1.0,
    nose_ahead_of_front_axle_mm=13.0,
    wheel_mass_g=0.6,
    drag_area_cm2=4.0,
    track_width_mm=27.0,
)
LOSSES = Losses(
    bearing_friction=0.22, rolling_resistance=0.008, steady_drag_mn=0.3, wall_friction=0.2
)
SLIPS = {
    "wall friction": (CAR, dataclasses.replace(LOSSES, wall_friction=0.22)),
    "bearing friction": (CAR, dataclasses.replace(LOSSES, bearing_friction=0.242)),
    "axle diameter": (dataclasses.replace(CAR, axle_diameter_mm=1.05), LOSSES),
    "wheel diameter": (dataclasses.replace(CAR, wheel_diameter_mm=10.6), LOSSES),
    "mass": (dataclasses.replace(CAR, mass_g=38.0), LOSSES),
    "centre of gravity, along the car": (
        dataclasses.replace(CAR, cg_ahead_of_rear_axle_mm=19.9),
        LOSSES,
    ),
    "wheelbase": (dataclasses.replace(CAR, wheelbase_mm=43.0), LOSSES),
}


def finish_time_s(car: Car, losses: Losses) -> float:
    run = coast(WINDING, car, losses)
    assert run.finish_time_s is not None
    return run.finish_time_s


def test_the_table_of_slips() -> None:
    body = read_help("measuring-a-car").body
    rows = dict(re.findall(r"^\| ([a-z, ]+) \| [^|]+ \| ([\d.]+) s \|$", body, re.MULTILINE))
    assert set(rows) == set(SLIPS)
    before_s = finish_time_s(CAR, LOSSES)
    assert before_s == pytest.approx(9.9, abs=0.05)
    for name, (car, losses) in SLIPS.items():
        decimals = len(rows[name].partition(".")[2])
        moved_s = abs(finish_time_s(car, losses) - before_s)
        assert float(rows[name]) == round(moved_s, decimals), name


@pytest.mark.parametrize("name", PAGES)
def test_pages_have_a_title_and_lead_only_to_each_other(name: str) -> None:
    page = read_help(name)
    assert page.title
    for target in re.findall(r"\]\(([^)]+)\)", page.body):
        assert target.removesuffix(".md") in PAGES
