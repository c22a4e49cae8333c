"""Typical insides by body style, to begin from: our own drawings, to be measured over.

Common practice, no source: sizes of an invented 1:64 casting of each kind, rounded to halves
of a millimetre.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from hillbench.ballast.cavity import KeepOut
from hillbench.ballast.measured_cavity import CaliperReadings, MeasuredCavity

_POST_RADIUS_MM: Final = 2.4
_POST_CLEARANCE_MM: Final = 0.5


def _post(name: str, x_mm: float) -> KeepOut:
    return KeepOut(name, "cylinder", x_mm, 0.0, (None, None), _POST_RADIUS_MM, _POST_CLEARANCE_MM)


def _style(name: str, readings: CaliperReadings, posts_mm: tuple[float, float]) -> MeasuredCavity:
    rear, front = posts_mm
    return MeasuredCavity(name, readings, (_post("rear post", rear), _post("front post", front)))


TYPICAL_CAVITIES: Final[Mapping[str, MeasuredCavity]] = {
    "saloon": _style(
        "saloon",
        CaliperReadings(
            wheelbase_mm=42.0,
            rear_overhang_mm=11.0,
            front_overhang_mm=10.0,
            width_mm=21.5,
            floor_mm=3.5,
            deck_mm=6.5,
            roof_mm=13.5,
            bonnet_mm=5.5,
            rear_glass_foot_mm=-3.0,
            rear_glass_top_mm=4.0,
            windscreen_top_mm=21.0,
            windscreen_foot_mm=31.0,
            belt_mm=6.5,
            roof_width_mm=16.5,
        ),
        (-7.0, 35.0),
    ),
    "coupé": _style(
        "coupé",
        CaliperReadings(
            wheelbase_mm=41.0,
            rear_overhang_mm=10.0,
            front_overhang_mm=10.0,
            width_mm=21.0,
            floor_mm=3.5,
            deck_mm=6.0,
            roof_mm=11.0,
            bonnet_mm=5.0,
            rear_glass_foot_mm=-6.0,
            rear_glass_top_mm=9.0,
            windscreen_top_mm=19.0,
            windscreen_foot_mm=29.5,
            belt_mm=6.0,
            roof_width_mm=15.5,
        ),
        (-6.0, 34.0),
    ),
    "van": _style(
        "van",
        CaliperReadings(
            wheelbase_mm=41.0,
            rear_overhang_mm=12.0,
            front_overhang_mm=9.0,
            width_mm=22.5,
            floor_mm=3.5,
            deck_mm=17.5,
            roof_mm=18.0,
            bonnet_mm=6.0,
            rear_glass_foot_mm=-12.0,
            rear_glass_top_mm=-11.0,
            windscreen_top_mm=30.0,
            windscreen_foot_mm=39.0,
            belt_mm=9.0,
            roof_width_mm=19.5,
        ),
        (-7.5, 45.0),
    ),
    "open car": _style(
        "open car",
        CaliperReadings(
            wheelbase_mm=38.0,
            rear_overhang_mm=9.0,
            front_overhang_mm=9.0,
            width_mm=20.5,
            floor_mm=3.5,
            deck_mm=5.5,
            roof_mm=5.0,
            bonnet_mm=5.0,
            rear_glass_foot_mm=5.0,
            rear_glass_top_mm=6.0,
            windscreen_top_mm=20.0,
            windscreen_foot_mm=21.0,
            belt_mm=5.0,
            roof_width_mm=20.5,
        ),
        (-5.5, 31.5),
    ),
    "truck": _style(
        "truck",
        CaliperReadings(
            wheelbase_mm=45.0,
            rear_overhang_mm=13.0,
            front_overhang_mm=9.0,
            width_mm=22.0,
            floor_mm=3.5,
            deck_mm=5.0,
            roof_mm=15.0,
            bonnet_mm=6.5,
            rear_glass_foot_mm=14.0,
            rear_glass_top_mm=15.5,
            windscreen_top_mm=26.0,
            windscreen_foot_mm=33.0,
            belt_mm=8.0,
            roof_width_mm=17.0,
        ),
        (-8.0, 39.0),
    ),
}
"""By body style."""
