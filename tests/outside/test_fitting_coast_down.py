"""Constant and quadratic drag from a coast-down, as road load is measured."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from hillbench.coasting.car_batch import CarBatch
from hillbench.coasting.losses import Losses
from hillbench.coasting.track import SlopePoint, Track
from hillbench.fitting.evidence import Evidence, KnownCar
from hillbench.fitting.fit import fit
from hillbench.fitting.prediction import level_distance_m
from hillbench.fitting.readings import CoastOut
from tests.fitting.world import CAR
from tests.outside.registry import Outside

AREA = "Fitting: coast-down"
SOURCE = "40 CFR 1066.310 road load F = A + C v²; analytic coast-down (EPA, Thompson 1976)"

MASS_KG, A_N, C_KG_M, SPEED_M_S, DISTANCE_M = 0.035, 0.010, 2.0e-5, 4.0, 27.561333677
GRAVITY, DENSITY = 9.80665, 1.2
BARE = replace(
    CAR,
    mass_g=1e3 * MASS_KG,
    wheel_mass_g=0.0,
    axle_diameter_mm=0.0,
    drag_area_cm2=1e4 * 2.0 * C_KG_M / DENSITY,
)


def test_distance_of_the_reference_row(outside: Outside) -> None:
    cars = CarBatch.of([BARE], [Losses(steady_drag_mn=1e3 * A_N)])
    evidence = Evidence(Track(5.0, (SlopePoint(0.0, 0.0),)), (KnownCar("bare", BARE),))
    outside.check(
        "distance until it stands, from 4 m/s",
        source="row coast.analytic: SciPy solve_ivp to 1e-9",
        how="run",
        expected=DISTANCE_M,
        got=float(level_distance_m(evidence, cars, SPEED_M_S)[0]),
        rel=1e-9,
        unit="m",
    )


def test_the_fit_recovers_both_drags_from_the_trace(outside: Outside) -> None:
    speeds = np.linspace(0.5, 4.0, 15)
    rests = [_rest_m(float(speed)) for speed in speeds]
    believed = replace(BARE, drag_area_cm2=0.5)  # half as much again as it is
    known = KnownCar("bare", believed, mass_uncertainty_g=0.0, drag_area_spread=1.0)
    coast_outs = tuple(
        CoastOut("bare", rest, 0.001 * rest, float(speed))
        for speed, rest in zip(speeds, rests, strict=True)
    )
    track = Track(5.0, (SlopePoint(0.0, 0.0),))
    evidence = Evidence(track, (known,), coast_outs=coast_outs)
    fitted = fit(evidence, np.random.default_rng(1))
    values = fitted.layout.values(fitted.draws)
    place = fitted.layout.places
    rolling = values[:, place["rolling_resistance", "track"]]
    steady = values[:, place["steady_drag_mn", "bare"]]
    area = values[:, place["drag_area_cm2", "bare"]]
    constant = rolling * MASS_KG * GRAVITY + steady / 1e3
    quadratic = 0.5 * DENSITY * area / 1e4
    for name, drawn, true, unit in (
        ("A", constant, A_N, "N"),
        ("C", quadratic, C_KG_M, "kg/m"),
    ):
        outside.check(
            f"{name} of a fit to the trace",
            source=SOURCE,
            how="closed form",
            expected=true,
            got=float(np.mean(drawn)),
            rel=0.01,
            unit=unit,
        )
        low, high = np.quantile(drawn, [0.025, 0.975])
        assert low < true < high


def _rest_m(speed_m_s: float) -> float:
    """Return how far it still coasts: x = m/(2C) ln(1 + C v²/A)."""
    return MASS_KG / (2.0 * C_KG_M) * math.log1p(C_KG_M * speed_m_s**2 / A_N)
