"""A run integrated by SciPy, many cars at once: an independent statement of the same physics.

Nothing of the package's numerics is used: slopes, curvatures and forces are written out here
at a point, and `solve_ivp` (DOP853) integrates energy and time over w = √s, in which the start
from rest is smooth. It stops wherever slope or bend of either axle change, and begins anew.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.track import Track

Floats = NDArray[np.float64]

GRAVITY_M_S2 = 9.80665
AIR_KG_M3 = 1.2
REFERENCE_LOAD_N = 0.1
_START_M = 1e-10
_MAX_STEP_M = 0.01


@dataclass(frozen=True)
class Reference:
    """Times at the gates and the finish, speed at the finish; shapes (gates + 1, n), (n,)."""

    times_s: Floats
    finish_speed_m_s: Floats


class _Hill:
    """Slope, curvatures and bank of a track of slope points at single places."""

    def __init__(self, track: Track) -> None:
        self._at = np.array([point.at_m for point in track.slope_points])
        self._pitch = -np.radians([point.slope_deg for point in track.slope_points])
        self._rate = np.concatenate([[0.0], np.diff(self._pitch) / np.diff(self._at), [0.0]])
        self._bends = track.bends
        edges = [edge for bend in track.bends for edge in (bend.from_m, bend.to_m)]
        self.kinks = np.unique(np.concatenate([self._at, edges]))

    def pitch(self, at: Floats) -> Floats:
        return np.interp(at, self._at, self._pitch)

    def vertical(self, at: Floats) -> Floats:
        return self._rate[np.searchsorted(self._at, at, side="right")]

    def lateral(self, at: Floats) -> tuple[Floats, Floats]:
        curvature, bank = np.zeros_like(at), np.zeros_like(at)
        for bend in self._bends:
            inside = (at >= bend.from_m) & (at < bend.to_m)
            turn = math.radians(bend.turn_deg)
            curvature = np.where(inside, turn / (bend.to_m - bend.from_m), curvature)
            side = 1.0 if turn > 0 else -1.0
            bank = np.where(inside, side * math.radians(bend.bank_deg), bank)
        return curvature, bank


def integrate(track: Track, cars: list[Car], losses: list[Losses]) -> Reference:
    """Return the runs of cars that reach the finish, each with its losses."""
    hill, car = _Hill(track), _Cars(cars, losses)
    stops = [*track.gates_at_m, track.finish_at_m]
    kinks = (hill.kinks[:, None] + np.concatenate([car.nose, car.nose + car.wheelbase])).ravel()
    breaks = np.unique(np.concatenate([kinks, stops]))
    ahead = [place for place in breaks.tolist() if _START_M < place <= track.finish_at_m]
    push = car.push(hill, np.full(len(cars), _START_M), np.zeros(len(cars)))
    mass = car.moving(hill, np.full(len(cars), _START_M))
    assert np.all(push > 0.0), "a car of the reference does not start"
    state = np.concatenate([np.sqrt(2.0 * mass * _START_M / push), push * _START_M])
    here, times = _START_M, []
    for there in ahead:
        if there - here > 1e-12:
            state = _over(hill, car, state, here, there)
        here = there
        if there in stops:
            times.append(state[: len(cars)])
    energy = state[len(cars) :]
    moving = car.moving(hill, np.full(len(cars), here - 1e-12))
    return Reference(np.array(times), np.sqrt(2.0 * energy / moving))


def _over(hill: _Hill, car: _Cars, state: Floats, here: float, there: float) -> Floats:
    count = len(state) // 2
    inset = 1e-9 * (there - here)

    def change(root: float, now: Floats) -> Floats:
        at = np.full(count, min(max(root * root, here + inset), there - inset))
        energy = np.maximum(now[count:], 1e-300)
        speed = np.sqrt(2.0 * energy / car.moving(hill, at))
        push = car.push(hill, at, speed**2)
        return 2.0 * root * np.concatenate([1.0 / speed, push])

    span = (math.sqrt(here), math.sqrt(there))
    solved = solve_ivp(
        change,
        span,
        state,
        "DOP853",
        rtol=1e-10,
        atol=1e-15,
        max_step=_MAX_STEP_M / (2.0 * span[1]),
    )
    assert solved.success, solved.message
    return np.asarray(solved.y[:, -1])


class _Cars:
    """Cars and losses in SI units, one array for each quantity."""

    def __init__(self, cars: list[Car], losses: list[Losses]) -> None:
        def of_cars(name: str) -> Floats:
            return np.array([float(getattr(car, name)) for car in cars])

        def of_losses(name: str) -> Floats:
            return np.array([float(getattr(loss, name)) for loss in losses])

        self.wheelbase = of_cars("wheelbase_mm") * 1e-3
        self.nose = of_cars("nose_ahead_of_front_axle_mm") * 1e-3
        self._mass = of_cars("mass_g") * 1e-3
        self._front = of_cars("cg_ahead_of_rear_axle_mm") * 1e-3 / self.wheelbase
        self._height = of_cars("cg_height_mm") * 1e-3
        self._pitch = self._mass * (of_cars("pitch_gyration_mm") * 1e-3) ** 2
        wheels = of_cars("wheel_count") * of_cars("wheel_mass_g") * 1e-3
        self._wheels = wheels * of_cars("wheel_inertia_factor")
        self._carried = 1.0 - wheels / self._mass
        self._lever = of_cars("axle_diameter_mm") / of_cars("wheel_diameter_mm")
        self._drag = 0.5 * AIR_KG_M3 * of_cars("drag_area_cm2") * 1e-4
        self._bearing = of_losses("bearing_friction")
        self._power = of_losses("bearing_load_exponent")
        self._rolling = of_losses("rolling_resistance")
        self._steady = of_losses("steady_drag_mn") * 1e-3
        self._wall = of_losses("wall_friction")

    def moving(self, hill: _Hill, at: Floats) -> Floats:
        bow = self._mixed(hill.vertical, at)
        lever = 1.0 - self._height * bow
        return self._mass * lever**2 + self._pitch * bow**2 + self._wheels

    def push(self, hill: _Hill, at: Floats, speed_2: Floats) -> Floats:
        """Return the force that changes the energy of motion: slope less losses."""
        bow = self._mixed(hill.vertical, at)
        weight = self._mass * GRAVITY_M_S2
        normal, wall, climb = np.zeros_like(at), np.zeros_like(at), np.zeros_like(at)
        for share, place in self._axles(at):
            pitch, vertical = hill.pitch(place), hill.vertical(place)
            lateral, bank = hill.lateral(place)
            climb = climb + share * np.sin(pitch) * (1.0 - self._height * vertical)
            in_normal = vertical * np.cos(bank) + lateral * np.sin(bank)
            in_wall = lateral * np.cos(bank) - vertical * np.sin(bank)
            normal = normal + share * weight * np.cos(pitch) * np.cos(bank)
            normal = normal + share * self._mass * speed_2 * in_normal * (1.0 - self._height * bow)
            wall = wall + share * self._mass * speed_2 * in_wall
            wall = wall - share * weight * np.cos(pitch) * np.sin(bank)
        assert np.all(normal > 0.0), "a car of the reference lifts off"
        loss = self._rolling * normal + self._steady + self._drag * speed_2
        loss = loss + self._wall * np.abs(wall)
        for share in (self._front, 1.0 - self._front):
            load = share * normal * self._carried
            friction = self._bearing * (load / REFERENCE_LOAD_N) ** self._power
            loss = loss + friction * load * self._lever
        return np.asarray(-weight * climb - loss)

    def _axles(self, at: Floats) -> tuple[tuple[Floats, Floats], ...]:
        front = at - self.nose
        return (self._front, front), (1.0 - self._front, front - self.wheelbase)

    def _mixed(self, quantity: object, at: Floats) -> Floats:
        assert callable(quantity)
        return sum((share * quantity(place) for share, place in self._axles(at)), np.zeros_like(at))
