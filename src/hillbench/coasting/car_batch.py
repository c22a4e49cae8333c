"""Many cars with their losses, as arrays."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hillbench import constants
from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.result import Floats
from hillbench.coasting.surroundings import Surroundings


@dataclass(frozen=True, slots=True)
class CarBatch:
    """Cars with their losses, one array of shape (n,) for each field of `Car` and `Losses`.

    The fields have the names and units of `Car` and `Losses`. Nothing is checked: a batch is
    for computed values; check typed ones with `check_car` and `check_losses`.
    """

    mass_g: Floats
    wheelbase_mm: Floats
    cg_ahead_of_rear_axle_mm: Floats
    cg_height_mm: Floats
    wheel_diameter_mm: Floats
    axle_diameter_mm: Floats
    nose_ahead_of_front_axle_mm: Floats
    wheel_mass_g: Floats
    wheel_inertia_factor: Floats
    wheel_count: Floats
    drag_area_cm2: Floats
    pitch_gyration_mm: Floats
    bearing_friction: Floats
    rolling_resistance: Floats
    steady_drag_mn: Floats
    wall_friction: Floats
    bearing_load_exponent: Floats

    @classmethod
    def of(cls, cars: Sequence[Car], losses: Sequence[Losses]) -> CarBatch:
        """Return the batch of `cars`, each with its `losses`, in order."""
        columns = {}
        for field in dataclasses.fields(cls):
            source: Sequence[Car | Losses] = cars if field.name in Car.__slots__ else losses
            columns[field.name] = np.array([float(getattr(one, field.name)) for one in source])
        return cls(**columns)

    @classmethod
    def repeat(cls, car: Car, losses: Losses, count: int, **changed: ArrayLike) -> CarBatch:
        """Return `count` copies of one car; `changed` gives an array for some fields."""
        one = cls.of([car], [losses])
        columns = {
            field.name: np.full(count, getattr(one, field.name)[0])
            for field in dataclasses.fields(cls)
        }
        for name, values in changed.items():
            if name not in columns:
                raise KeyError(f"{name} is no field of CarBatch; its fields: {', '.join(columns)}")
            columns[name] = np.broadcast_to(np.asarray(values, dtype=np.float64), count).copy()
        return cls(**columns)

    def __len__(self) -> int:
        """Return the number of cars."""
        return len(self.mass_g)

    def take(self, chosen: NDArray[np.intp]) -> CarBatch:
        """Return the cars with the given numbers."""
        return CarBatch(
            **{field.name: getattr(self, field.name)[chosen] for field in dataclasses.fields(self)}
        )


def car_parameters(cars: CarBatch, surroundings: Surroundings) -> Floats:
    """Return what the marching kernel needs of each car, shape (14, n), SI units.

    Notes
    -----
    The rows are named in `hillbench.coasting.parameters`. The bearing friction of an axle
    that carries P is mu0 (P / P0) ** p, P0 the reference load.
    """
    gravity = surroundings.gravity_m_s2
    mass = cars.mass_g / 1e3
    share = cars.cg_ahead_of_rear_axle_mm / cars.wheelbase_mm
    wheel_mass = cars.wheel_count * cars.wheel_mass_g / 1e3
    carried = (mass - wheel_mass) / mass
    power = cars.bearing_load_exponent
    # 0 ** (1 + p) is 0: an axle without load has no friction.
    spread = share ** (1.0 + power) + (1.0 - share) ** (1.0 + power)
    load = mass * gravity * np.maximum(carried, 1e-12) / constants.BEARING_REFERENCE_LOAD_N
    bearing = cars.bearing_friction * cars.axle_diameter_mm / cars.wheel_diameter_mm * carried
    bearing = bearing * spread * load**power
    return np.array(
        [
            share,
            cars.cg_height_mm / 1e3,
            mass,
            mass * gravity,
            cars.rolling_resistance + bearing,
            cars.steady_drag_mn / 1e3,
            0.5 * surroundings.air_density_kg_m3 * cars.drag_area_cm2 / 1e4,
            cars.wall_friction * mass,
            mass * (cars.pitch_gyration_mm / 1e3) ** 2,
            cars.wheel_inertia_factor * wheel_mass,
            cars.rolling_resistance,
            bearing,
            power,
            np.full_like(mass, gravity),
        ]
    )
