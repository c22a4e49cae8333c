"""Forces on a car in the panels of a track, at a given speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillbench.coasting import parameters as row
from hillbench.coasting.result import Floats


@dataclass(frozen=True, slots=True)
class Forces:
    """Forces and inertia in panels, arrays of one shape (k,).

    Attributes
    ----------
    moving_kg
        Mass that moves with the wheels: car, pitch and wheels.
    fall_n
        Force of the slope along the track, positive uphill, N.
    normal_n, wall_n
        Normal force, and force on the wall, positive on the right-hand wall, N.
    bearings_n, rolling_n, steady_drag_n, air_n, walls_n
        Each loss as a force along the track, N.
    lift_speed_2
        Speed squared at which the normal force vanishes, (m/s)²; infinite where none does it.
    """

    moving_kg: Floats
    fall_n: Floats
    normal_n: Floats
    wall_n: Floats
    bearings_n: Floats
    rolling_n: Floats
    steady_drag_n: Floats
    air_n: Floats
    walls_n: Floats
    lift_speed_2: Floats

    def loss_n(self) -> Floats:
        """Return all losses together, N."""
        return self.bearings_n + self.rolling_n + self.steady_drag_n + self.air_n + self.walls_n


def mix(table: Floats, column: int, share: Floats) -> Floats:
    """Return two neighbouring columns mixed over the axles: `share` of the front one."""
    mixed: Floats = share * table[:, column] + (1.0 - share) * table[:, column + 1]
    return mixed


def moving_mass(table: Floats, parameters: Floats) -> Floats:
    """Return the mass that moves with the wheels, kg: M = m (1 - h κv)² + Ip κv² + J."""
    bow = mix(table, 5, parameters[row.LAMBDA])
    arm = np.maximum(1.0 - parameters[row.CG_HEIGHT] * bow, row.LEAST_ARM)
    car, pitch, wheels = (parameters[name] for name in (row.MASS, row.PITCH, row.WHEELS))
    moving: Floats = car * arm**2 + pitch * bow**2 + wheels
    return moving


def panel_forces(table: Floats, parameters: Floats, speed_2: Floats) -> Forces:
    """Return the forces in each panel.

    Parameters
    ----------
    table
        Panels, shape (k, 15); see `Panels.table`.
    parameters
        Of one car, shape (14, 1), or of one car for each panel, shape (14, k).
    speed_2
        Speed squared, (m/s)², shape (k,).
    """
    share, height = parameters[row.LAMBDA], parameters[row.CG_HEIGHT]
    mass, weight = parameters[row.MASS], parameters[row.WEIGHT]
    arm = np.maximum(1.0 - height * mix(table, 5, share), row.LEAST_ARM)
    press = weight * mix(table, 7, share)
    swing = mass * mix(table, 9, share) * arm
    normal = press + swing * speed_2
    wall = mass * mix(table, 11, share) * speed_2 - weight * mix(table, 13, share)
    load_share = np.maximum(normal / weight, 1e-12)
    fall = weight * (mix(table, 1, share) + height * mix(table, 3, share)) / table[:, 0]
    lifts = swing < -1e-15  # less is a slope typed in denormal numbers
    lift_speed_2 = np.where(lifts, press / np.where(lifts, -swing, 1.0), np.inf)
    return Forces(
        moving_kg=moving_mass(table, parameters),
        fall_n=fall,
        normal_n=normal,
        wall_n=wall,
        bearings_n=parameters[row.BEARING] * load_share ** parameters[row.EXPONENT] * normal,
        rolling_n=parameters[row.ROLLING] * normal,
        steady_drag_n=np.broadcast_to(parameters[row.STEADY], normal.shape),
        air_n=parameters[row.DRAG] * speed_2,
        walls_n=parameters[row.WALL] / mass * np.abs(wall),
        lift_speed_2=lift_speed_2,
    )
