"""Inclines: textbook accelerations of rolling bodies, worked examples, losses."""

from __future__ import annotations

import math

import pytest

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.run import coast
from hillbench.coasting.surroundings import Surroundings
from tests.outside.ideal import finish, incline, point_car, rolling_body, slope_sine
from tests.outside.registry import Outside

AREA = "Coasting: inclines"
OPENSTAX = "OpenStax University Physics 1, section 11.1"
VACUUM = Surroundings(air_density_kg_m3=0.0)


@pytest.mark.parametrize(
    ("name", "inertia_factor", "share"),
    [("disk", 0.5, 2.0 / 3.0), ("solid sphere", 0.4, 5.0 / 7.0), ("hoop", 1.0, 0.5)],
)
def test_rolling_bodies(outside: Outside, name: str, inertia_factor: float, share: float) -> None:
    run = coast(incline(25.0, 3.0), rolling_body(inertia_factor), Losses(), VACUUM)
    acceleration = 6.0 / finish(run.finish_time_s) ** 2
    outside.check(
        f"acceleration of a {name} over g sin θ",
        source=OPENSTAX,
        how="read",
        expected=share,
        got=acceleration / (9.80665 * slope_sine(25.0)),
        rel=1e-9,
    )


@pytest.mark.parametrize(
    ("name", "inertia_factor", "drop_m", "gravity", "expected", "within", "source"),
    [
        ("baseball, 8.4 m down 30°", 0.4, 4.2, 9.8, 7.7, 0.05, "Resnick, problem 12-54"),
        ("wheel of a rover on Mars, 25.0 m", 1.0, 25.0, 3.71, 9.63, 0.01, f"{OPENSTAX}, ex. 11.3"),
        (
            "hoop, hill of 4.50 m",
            1.0,
            4.5,
            9.80,
            6.64,
            0.005,
            "askanewquestion.com, hoop on a hill",
        ),
        ("solid sphere, 3.0 m", 0.4, 3.0, 9.8, 6.5, 0.05, "answers.yahoo 20201124211638AAapLRk"),
        ("hollow sphere, 3.0 m", 2 / 3, 3.0, 9.8, 5.9, 0.05, "answers.yahoo 20201124211638AAapLRk"),
    ],
)
def test_worked_examples(
    outside: Outside,
    name: str,
    inertia_factor: float,
    drop_m: float,
    gravity: float,
    expected: float,
    within: float,
    source: str,
) -> None:
    hill = incline(30.0, drop_m / slope_sine(30.0))
    run = coast(hill, rolling_body(inertia_factor), Losses(), Surroundings(0.0, gravity))
    outside.check(
        f"speed at the bottom, {name}",
        source=source,
        how="read",
        expected=expected,
        got=finish(run.finish_speed_m_s),
        within=within,
        unit="m/s",
    )


def test_sliding_time(outside: Outside) -> None:
    run = coast(incline(12.5, 4.0), point_car(), Losses(), VACUUM)
    outside.check(
        "time of a sliding point",
        source="t = √(2 L/(g sin θ))",
        how="closed form",
        expected=math.sqrt(8.0 / (9.80665 * slope_sine(12.5))),
        got=finish(run.finish_time_s),
        rel=1e-9,
        unit="s",
    )


def test_incline_with_losses_and_wheels(outside: Outside) -> None:
    """All of it at once: bearings, rolling, steady drag and the inertia of four wheels."""
    car = Car(37.0, 40.0, 15.0, 9.0, 10.0, 1.1, wheel_mass_g=0.7, wheel_inertia_factor=0.6)
    losses = Losses(bearing_friction=0.22, rolling_resistance=0.01, steady_drag_mn=1.5)
    run = coast(incline(9.0, 5.0), car, losses, VACUUM)
    load_loss = 0.22 * 1.1 / 10.0 * (37.0 - 2.8) / 37.0 + 0.01
    slope = math.radians(9.0)
    force = 0.037 * 9.80665 * (math.sin(slope) - load_loss * math.cos(slope)) - 1.5e-3
    expected = math.sqrt(2.0 * 5.0 * (0.037 + 0.6 * 4 * 0.0007) / force)
    outside.check(
        "time with bearings, rolling, steady drag and wheels",
        source="t = √(2 L (m + Σ I/r²)/(m g (sin θ − c cos θ) − F))",
        how="closed form",
        expected=expected,
        got=finish(run.finish_time_s),
        rel=1e-9,
        unit="s",
    )


def test_bearing_friction_that_falls_with_load(outside: Outside) -> None:
    """Hertz: friction in proportion to the area of a smooth contact, load to the power 2/3."""
    car = Car(50.0, 40.0, 10.0, 0.0, 10.0, 1.0)
    losses = Losses(bearing_friction=0.3, bearing_load_exponent=-1.0 / 3.0)
    run = coast(incline(15.0, 2.0), car, losses, VACUUM)
    load = 0.050 * 9.80665 * math.cos(math.radians(15.0))
    axles = [0.25 * load, 0.75 * load]
    drag = sum(0.3 * 0.1 * 0.1 * (axle / 0.1) ** (2.0 / 3.0) for axle in axles)
    expected = math.sqrt(2.0 * 2.0 * 0.050 / (0.050 * 9.80665 * slope_sine(15.0) - drag))
    outside.check(
        "time with bearing friction as load to the power 2/3",
        source="constant force on each axle",
        how="closed form",
        expected=expected,
        got=finish(run.finish_time_s),
        rel=1e-9,
        unit="s",
    )


def test_terminal_speed(outside: Outside) -> None:
    """Quadratic drag: t = τ acosh(e^(k s/M)), k = ½ ρ CdA, τ = M/√(k F)."""
    mass, slope_deg, length = 0.010, 3.0, 30.0
    car = point_car(10.0, 20.0)
    run = coast(incline(slope_deg, length), car, Losses(), Surroundings(1.2))
    k = 0.5 * 1.2 * 20e-4
    force = mass * 9.80665 * slope_sine(slope_deg)
    tau = mass / math.sqrt(k * force)
    outside.check(
        "time towards terminal speed",
        source="t = τ acosh(e^(k s/M))",
        how="closed form",
        expected=tau * math.acosh(math.exp(k * length / mass)),
        got=finish(run.finish_time_s),
        rel=1e-6,
        unit="s",
    )
    outside.check(
        "terminal speed",
        source="v² = (F/k)(1 − e^(−2 k s/M))",
        how="closed form",
        expected=math.sqrt(force / k * -math.expm1(-2.0 * k * length / mass)),
        got=finish(run.finish_speed_m_s),
        rel=1e-6,
        unit="m/s",
    )
