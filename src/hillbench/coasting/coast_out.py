"""What a coast-out on the flat says by itself: the part of its weight that a car loses."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from hillbench import constants
from hillbench.coasting.car import Car
from hillbench.errors import InvalidInput, Problem
from hillbench.uncertainty import Estimate, repeated_reading


@dataclass(frozen=True, slots=True)
class CoastedOut:
    """What a coast-out says.

    Attributes
    ----------
    distance_m
        Mean distance, m; its uncertainty holds the scatter from roll to roll.
    loss_share
        Force that stopped it over its weight; about the slope, in m a m, on which it would
        just keep rolling.
    slope_deg
        That slope, degrees.
    """

    distance_m: Estimate
    loss_share: Estimate
    slope_deg: float


def read_coast_out(
    car: Car,
    distances_m: tuple[float, ...],
    entry_speed_m_s: Estimate,
    level_uncertainty_deg: float = 0.0,
    gravity_m_s2: float = constants.STANDARD_GRAVITY_M_S2,
) -> CoastedOut:
    """Return the mean loss of a car that coasted out on a flat surface.

    Parameters
    ----------
    car
        The car; its wheels carry some of the energy.
    distances_m
        From where its speed was taken to where it stood, m; one or more.
    entry_speed_m_s
        That speed with its standard uncertainty, m/s.
    level_uncertainty_deg
        Standard uncertainty of the slope of the surface, degrees.
    gravity_m_s2
        Acceleration of free fall, m/s².

    Raises
    ------
    InvalidInput
        If there is no distance, or a distance or the speed is not positive.

    Notes
    -----
    Energy: (m + J) v²/2 = F D, so F/(m g) = (1 + J/m) v²/(2 g D), with J = Σ k m_w of the
    wheels; the air is in F. Relative uncertainties of D and twice that of v add in quadrature
    (JCGM 100:2008, 5.1.6), and the slope of the surface, in radians, adds to the share itself.
    """
    problems = list(_check(distances_m, entry_speed_m_s))
    if problems:
        raise InvalidInput(problems)
    distance = scattered_distance_m(distances_m)
    wheels = car.wheel_count * car.wheel_mass_g * car.wheel_inertia_factor / car.mass_g
    share = (1.0 + wheels) * entry_speed_m_s.value**2 / (2.0 * gravity_m_s2 * distance.value)
    relative = math.hypot(
        distance.standard_uncertainty / distance.value,
        2.0 * entry_speed_m_s.standard_uncertainty / entry_speed_m_s.value,
    )
    spread = math.hypot(share * relative, math.radians(level_uncertainty_deg))
    return CoastedOut(distance, Estimate(share, spread), math.degrees(math.atan(share)))


def scattered_distance_m(distances_m: tuple[float, ...]) -> Estimate:
    """Return the mean of some distances, m, with at least 1 % of it as its uncertainty.

    Notes
    -----
    Scatter from roll to roll is 5 % where there is only one (common practice, no source).
    """
    if len(distances_m) == 1:
        return Estimate(distances_m[0], 0.05 * distances_m[0])
    mean = repeated_reading(distances_m)
    return Estimate(mean.value, max(mean.standard_uncertainty, 0.01 * mean.value))


def _check(distances_m: tuple[float, ...], speed: Estimate) -> Iterator[Problem]:
    if not distances_m:
        yield Problem("distances_m", "empty", "one distance or more", "type how far it coasted")
    for value in distances_m:
        if not (math.isfinite(value) and value > 0.0):
            yield Problem("distances_m", f"{value:g} m", "more than 0 m")
    if not (math.isfinite(speed.value) and speed.value > 0.0):
        yield Problem("entry_speed_m_s", f"{speed.value:g} m/s", "more than 0 m/s")
