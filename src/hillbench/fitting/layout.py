"""Which unknowns a body of evidence has, and which setup each belongs to."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from hillbench.coasting.car import Car
from hillbench.coasting.car_batch import CarBatch
from hillbench.coasting.losses import Losses
from hillbench.coasting.result import Floats
from hillbench.fitting import prior
from hillbench.fitting.bench_tests import Steers
from hillbench.fitting.evidence import Evidence, Setup
from hillbench.fitting.readings import TRACK
from hillbench.fitting.unknown import Unknown

MASS_MATTERS: Final = 0.003
"""Uncertainty of a mass over the mass from which on it is an unknown of the fit: below, it
moves a time by less than 1e-4, for a time falls by at most 0.03 % with 1 % more mass."""

_STEER_ROUNDING_DEG: Final = 0.01


@dataclass(frozen=True, slots=True)
class Layout:
    """The unknowns in order and where each setup finds its own.

    Attributes
    ----------
    unknowns
        Unknowns, n of them; scores are arrays of shape (..., n).
    places
        Number of each unknown by (name, owner).
    cars
        Name of the car that each unknown belongs to; empty where all cars share it.
    """

    unknowns: tuple[Unknown, ...]
    places: Mapping[tuple[str, str], int]
    cars: tuple[str, ...]

    def values(self, scores: ArrayLike) -> Floats:
        """Return all unknowns in their units, of the shape of `scores`."""
        z = np.asarray(scores, dtype=np.float64)
        columns = [one.values(z[..., number]) for number, one in enumerate(self.unknowns)]
        return np.stack(columns, axis=-1) if columns else z

    def batch(self, scores: Floats, setups: Sequence[Setup]) -> CarBatch:
        """Return every setup at every score as one batch, scores outermost.

        Parameters
        ----------
        scores
            Shape (k, n).
        setups
            s setups; the batch has k times s cars.
        """
        values = self.values(scores)
        base = CarBatch.of([setup.car for setup in setups], [Losses()] * len(setups))
        columns = {
            field.name: np.tile(getattr(base, field.name), (len(values), 1))
            for field in dataclasses.fields(CarBatch)
        }
        for number, setup in enumerate(setups):
            for name, value in self._unknowns_of(values, setup):
                columns[name][:, number] = value
        return CarBatch(**{name: column.ravel() for name, column in columns.items()})

    def _unknowns_of(self, values: Floats, setup: Setup) -> Iterator[tuple[str, Floats]]:
        owners = {
            "wall_friction": TRACK,
            "bearing_load_exponent": "cars",
            "steady_drag_mn": setup.name,
            "drag_area_cm2": setup.name,
            "bearing_friction": setup.owner,
            "mass_g": mass_owner(setup),
        }
        for name, owner in owners.items():
            place = self.places.get((name, owner))
            if place is not None:
                yield name, values[:, place]
        yield "rolling_resistance", self._rolling(values, setup)

    def _rolling(self, values: Floats, setup: Setup) -> Floats:
        rolling: Floats = values[:, self.places["rolling_resistance", setup.surface]]
        steer = self.places.get(("steer_deg", setup.name))
        if steer is None:
            return rolling
        # Rounded where it is straight, so that it can be differentiated.
        angle = np.sqrt(values[:, steer] ** 2 + _STEER_ROUNDING_DEG**2) - _STEER_ROUNDING_DEG
        return rolling + values[:, self.places["scrub_per_deg", TRACK]] * angle


def mass_owner(setup: Setup) -> str:
    """Return whose mass it is: that of a car at one weighing."""
    return f"{setup.name} at {setup.car.mass_g:g} g"


def lay_out(
    evidence: Evidence,
    setups: Sequence[Setup],
    typical_s: float,
    steers: Steers,
    spin_spreads: Mapping[str, float],
) -> Layout:
    """Return the unknowns of a body of evidence.

    Parameters
    ----------
    evidence
        What was measured.
    setups
        Every setup that ran, was tested or is asked about.
    typical_s
        Typical time of a run, s.
    steers
        Steer of each car that was rolled, degrees.
    spin_spreads
        What all spin-downs of a car share as an error, as a logarithm, by name of the car.

    Notes
    -----
    The scatter from run to run and the rate of bad runs come last.
    """
    found: dict[tuple[str, str], tuple[str, Unknown]] = {}
    for car, one in (
        *(("", one) for one in _of_track(evidence, setups, bool(steers))),
        *((setup.name, one) for setup in setups for one in _of_setup(evidence, setup, steers)),
        *(
            (name, prior.spin_scale(name, spread))
            for name, spread in spin_spreads.items()
            if spread > 0.0
        ),
        ("", prior.run_scatter_s(typical_s)),
        ("", prior.bad_rate()),
    ):
        found.setdefault((one.name, one.owner), (car, one))
    return Layout(
        tuple(one for _, one in found.values()),
        {key: number for number, key in enumerate(found)},
        tuple(car for car, _ in found.values()),
    )


def _of_track(evidence: Evidence, setups: Sequence[Setup], steered: bool) -> Iterator[Unknown]:
    for surface in dict.fromkeys((TRACK, *(setup.surface for setup in setups))):
        yield prior.rolling_resistance(surface)
    if evidence.track.bends:
        yield prior.wall_friction()
    if steered:
        yield prior.scrub_per_deg()
    if evidence.fit_load_exponent:
        yield prior.bearing_load_exponent()


def _of_setup(evidence: Evidence, setup: Setup, steers: Steers) -> Iterator[Unknown]:
    known = evidence.known_car(setup.name)
    yield prior.steady_drag_mn(setup.name)
    if known.car.drag_area_cm2 > 0.0 and evidence.air_density_kg_m3 > 0.0:
        yield prior.drag_area_cm2(setup.name, known.car.drag_area_cm2, known.drag_area_spread)
    if setup.car.axle_diameter_mm > 0.0 and _carries(setup.car):
        yield prior.bearing_friction(setup.name, setup.state)
    steer = steers.get(setup.name)
    if steer is not None:
        yield prior.steer_deg(setup.name, steer.value, max(steer.standard_uncertainty, 1e-4))
    if known.mass_uncertainty_g > MASS_MATTERS * setup.car.mass_g:
        yield prior.mass_g(mass_owner(setup), setup.car.mass_g, known.mass_uncertainty_g)


def _carries(car: Car) -> bool:
    """Return whether anything rests on the bearings."""
    return car.mass_g > car.wheel_count * car.wheel_mass_g
