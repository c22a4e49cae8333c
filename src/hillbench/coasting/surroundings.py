"""Gravity and air at the track."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hillbench import constants
from hillbench.errors import Problem


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Gravity and air during a run.

    Attributes
    ----------
    air_density_kg_m3
        Density of the air, kg/m³.
    gravity_m_s2
        Acceleration of free fall, m/s².
    """

    air_density_kg_m3: float = constants.AIR_DENSITY_20C_KG_M3
    gravity_m_s2: float = constants.STANDARD_GRAVITY_M_S2


def check_surroundings(surroundings: Surroundings) -> tuple[Problem, ...]:
    """Return what is out of range in the surroundings; empty when nothing is."""
    problems = []
    if not 0.0 <= surroundings.air_density_kg_m3 <= 10.0:
        seen = f"{surroundings.air_density_kg_m3:g} kg/m3"
        problems.append(Problem("air_density_kg_m3", seen, "between 0 and 10 kg/m3"))
    if not 0.1 <= surroundings.gravity_m_s2 <= 30.0:
        seen = f"{surroundings.gravity_m_s2:g} m/s2"
        problems.append(Problem("gravity_m_s2", seen, "between 0.1 and 30 m/s2"))
    return tuple(problems)


def gravity_at_latitude(latitude_deg: float, height_m: float = 0.0) -> float:
    """Return the acceleration of free fall at a latitude and a height, m/s².

    Parameters
    ----------
    latitude_deg
        Geodetic latitude, degrees, -90 to 90.
    height_m
        Height above the ellipsoid, m; sea level will do.

    Notes
    -----
    Somigliana's formula on the WGS 84 ellipsoid, less the free-air gradient times the
    height (good to 1e-5 m/s² below 1 km; local geology moves gravity by as much).
    NGA.STND.0036, World Geodetic System 1984, version 1.0.0, 2014, eq. 4-1.
    """
    sine_2 = math.sin(math.radians(latitude_deg)) ** 2
    level = constants.EQUATOR_GRAVITY_M_S2 * (1.0 + constants.SOMIGLIANA_K * sine_2)
    level /= math.sqrt(1.0 - constants.ELLIPSOID_E2 * sine_2)
    return level - constants.FREE_AIR_GRADIENT_1_S2 * height_m


def air_density(
    temperature_c: float, pressure_hpa: float = 1013.25, humidity_percent: float = 50.0
) -> float:
    """Return the density of moist air, kg/m³, at 400 µmol/mol of carbon dioxide.

    Parameters
    ----------
    temperature_c
        Air temperature, °C.
    pressure_hpa
        Air pressure at the track (not reduced to sea level), hPa.
    humidity_percent
        Relative humidity, %, 0 to 100.

    Notes
    -----
    CIPM-2007 equation; stated for 15 to 27 °C and 600 to 1100 hPa, there within 22 ppm.
    A. Picard, R. S. Davis, M. Gläser, K. Fujii, "Revised formula for the density of moist
    air (CIPM-2007)", Metrologia 45 (2008) 149-155, doi:10.1088/0026-1394/45/2/004.
    """
    kelvin = temperature_c + 273.15
    pascal = pressure_hpa * 100.0
    vapour = _vapour_fraction(temperature_c, pascal, humidity_percent / 100.0)
    compressibility = _compressibility(temperature_c, pascal, vapour)
    dry = constants.MOLAR_MASS_DRY_AIR_KG_MOL
    shortfall = 1.0 - constants.MOLAR_MASS_WATER_KG_MOL / dry
    molar_volume = compressibility * constants.MOLAR_GAS_CONSTANT_J_MOL_K * kelvin / pascal
    return dry * (1.0 - vapour * shortfall) / molar_volume


def _vapour_fraction(temperature_c: float, pascal: float, humidity: float) -> float:
    kelvin = temperature_c + 273.15
    saturation = math.exp(
        1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin
    )
    enhancement = 1.00062 + 3.14e-8 * pascal + 5.6e-7 * temperature_c**2
    return humidity * enhancement * saturation / pascal


def _compressibility(temperature_c: float, pascal: float, vapour: float) -> float:
    kelvin = temperature_c + 273.15
    first = 1.58123e-6 - 2.9331e-8 * temperature_c + 1.1043e-10 * temperature_c**2
    second = (5.707e-6 - 2.051e-8 * temperature_c) * vapour
    third = (1.9898e-4 - 2.376e-6 * temperature_c) * vapour**2
    ratio = pascal / kelvin
    return 1.0 - ratio * (first + second + third) + ratio**2 * (1.83e-11 - 0.765e-8 * vapour**2)
