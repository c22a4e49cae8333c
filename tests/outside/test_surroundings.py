"""Gravity and air density against WGS 84 and other equations of moist air."""

from __future__ import annotations

import math

import pytest

from hillbench.coasting.surroundings import air_density, gravity_at_latitude
from tests.outside.registry import Outside

AREA = "Gravity and air"


@pytest.mark.parametrize(
    ("latitude_deg", "expected"),
    [
        (0.0, 9.780325336),
        (30.0, 9.793247269),
        (45.0, 9.806197769),
        (60.0, 9.819176953),
        (90.0, 9.832184938),
    ],
)
def test_normal_gravity(outside: Outside, latitude_deg: float, expected: float) -> None:
    outside.check(
        f"gravity at latitude {latitude_deg:g}°",
        source="boule 0.6.0, WGS84",
        how="run",
        expected=expected,
        got=gravity_at_latitude(latitude_deg),
        within=1e-8,
        unit="m/s²",
    )
    assert gravity_at_latitude(-latitude_deg) == gravity_at_latitude(latitude_deg)


def test_free_air(outside: Outside) -> None:
    outside.check(
        "gravity at latitude 45° and 1000 m",
        source="boule 0.6.0, WGS84",
        how="run",
        expected=9.803112897,
        got=gravity_at_latitude(45.0, 1000.0),
        within=1e-5,
        unit="m/s²",
    )


@pytest.mark.parametrize(
    ("temperature_c", "pressure_hpa", "humidity_percent", "expected"),
    [
        (20.0, 1013.25, 50.0, 1.199314),
        (20.0, 1000.00, 50.0, 1.183557),
        (25.0, 1013.25, 50.0, 1.177315),
        (20.0, 1013.25, 0.0, 1.204557),
        (15.0, 1013.25, 0.0, 1.225521),
        (0.0, 1013.25, 0.0, 1.293049),
    ],
)
def test_moist_air(
    outside: Outside,
    temperature_c: float,
    pressure_hpa: float,
    humidity_percent: float,
    expected: float,
) -> None:
    outside.check(
        f"air at {temperature_c:g} °C, {pressure_hpa:g} hPa, {humidity_percent:g} %",
        source="Picard et al. 2008, Metrologia 45:149 (CIPM-2007), implemented separately",
        how="calculated",
        expected=expected,
        got=air_density(temperature_c, pressure_hpa, humidity_percent),
        within=1e-6,
        unit="kg/m³",
    )


@pytest.mark.parametrize(("humidity_percent", "expected"), [(50.0, 1.199359), (0.0, 1.204575)])
def test_moist_air_of_another_model(
    outside: Outside, humidity_percent: float, expected: float
) -> None:
    outside.check(
        f"air at 20 °C, 1013.25 hPa, {humidity_percent:g} %, reference equations of state",
        source="CoolProp 8.0.0 HAPropsSI",
        how="run",
        expected=expected,
        got=air_density(20.0, 1013.25, humidity_percent),
        rel=4e-5,
        unit="kg/m³",
    )


def test_oiml_simplified_equation(outside: Outside) -> None:
    """OIML R 111-1 E.3, recalled: (0.34848 p − 0.009 h e^(0.061 t))/(273.15 + t)."""
    worst = 0.0
    for celsius in (15.0, 20.0, 25.0):
        for hpa in (900.0, 1000.0, 1050.0):
            for percent in (20.0, 50.0, 80.0):
                vapour = 0.009 * percent * math.exp(0.061 * celsius)
                simple = (0.34848 * hpa - vapour) / (273.15 + celsius)
                worst = max(worst, abs(air_density(celsius, hpa, percent) / simple - 1.0))
    outside.check(
        "27 indoor conditions, largest relative difference",
        source="OIML R 111-1 E.3, simplified equation (from memory)",
        how="memory",
        expected=0.0,
        got=worst,
        within=2e-4,
    )
