"""Physical constants, each with its unit, uncertainty and source; no other file holds one."""

from __future__ import annotations

from typing import Final

STANDARD_GRAVITY_M_S2: Final = 9.80665
"""Standard gravity, m/s², exact. 3rd CGPM (1901), declaration 2; ISO 80000-3."""

EQUATOR_GRAVITY_M_S2: Final = 9.7803253359
"""Normal gravity at the equator, m/s², exact by definition of WGS 84 (NGA.STND.0036, 2014)."""

SOMIGLIANA_K: Final = 0.00193185265241
"""Somigliana's constant k, dimensionless, WGS 84 (NGA.STND.0036, 2014)."""

ELLIPSOID_E2: Final = 0.00669437999013
"""First eccentricity squared of the WGS 84 ellipsoid, dimensionless (NGA.STND.0036, 2014)."""

FREE_AIR_GRADIENT_1_S2: Final = 3.086e-6
"""Fall of gravity with height, (m/s²)/m, about 0.1 %. Free-air gradient, from memory."""

MOLAR_GAS_CONSTANT_J_MOL_K: Final = 8.314472
"""R of the CIPM-2007 air equation, J/(mol K). Picard et al., Metrologia 45 (2008) 149."""

MOLAR_MASS_WATER_KG_MOL: Final = 18.01528e-3
"""Molar mass of water, kg/mol. Picard et al., Metrologia 45 (2008) 149."""

MOLAR_MASS_DRY_AIR_KG_MOL: Final = 28.96546e-3
"""Molar mass of dry air at 400 µmol/mol CO2, kg/mol. Picard et al., Metrologia 45 (2008) 149."""

AIR_DENSITY_20C_KG_M3: Final = 1.2
"""Density of room air, kg/m³, within 3 % from 15 to 25 °C near sea level (CIPM-2007)."""

BEARING_REFERENCE_LOAD_N: Final = 0.1
"""Axle load at which a bearing's friction is quoted, N; a choice of ours, matters only
where the friction depends on load (`bearing_load_exponent` other than 0)."""

GRAM_PER_OUNCE: Final = 28.349523125
"""Avoirdupois ounce, g, exact: 0.45359237 kg / 16 (NIST SP 811, 2008, app. B)."""

GRAM_PER_GRAIN: Final = 0.06479891
"""Grain, g, exact: 1/7000 lb (NIST SP 811, 2008, app. B)."""

GRAM_PER_POUND: Final = 453.59237
"""Avoirdupois pound, g, exact (NIST SP 811, 2008, app. B)."""

MM_PER_INCH: Final = 25.4
"""Inch, mm, exact (NIST SP 811, 2008, app. B)."""

MM_PER_FOOT: Final = 304.8
"""Foot, mm, exact (NIST SP 811, 2008, app. B)."""

M_S_PER_MILE_PER_HOUR: Final = 0.44704
"""Mile per hour, m/s, exact (NIST SP 811, 2008, app. B)."""
