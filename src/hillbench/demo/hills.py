"""The invented tracks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hillbench.coasting.track import Bend, HeightPoint, SlopePoint, Track
from hillbench.records.track_store import TrackState


@dataclass(frozen=True, slots=True)
class Hill:
    """An invented track through its versions.

    Attributes
    ----------
    versions
        Days before the present and state from then on, earliest first.
    scatter_s
        Standard deviation of the time of one car from run to run, s.
    lanes
        Lanes in use.
    lane_s
        What each lane takes longer than the one before it, s.
    """

    name: str
    note: str
    versions: tuple[tuple[int, TrackState], ...]
    scatter_s: float
    lanes: int = 1
    lane_s: float = 0.0


def _bends(*bends: tuple[float, float, float]) -> tuple[Bend, ...]:
    return tuple(
        Bend(round(at_m, 3), round(at_m + length_m, 3), turn_deg, 0.0)
        for at_m, length_m, turn_deg in bends
    )


_WINDING: Final = Track(
    finish_at_m=18.2,
    slope_points=(
        SlopePoint(0.0, 18.0),
        SlopePoint(0.8, 18.0),
        SlopePoint(1.7, 6.2),
        SlopePoint(5.2, 5.2),
        SlopePoint(6.0, 7.6),
        SlopePoint(7.0, 5.0),
        SlopePoint(11.4, 5.5),
        SlopePoint(12.2, 8.0),
        SlopePoint(13.2, 4.8),
        SlopePoint(16.6, 4.8),
        SlopePoint(18.2, 2.5),
    ),
    bends=_bends(
        (2.6, 0.80, 90.0),
        (4.2, 0.80, -90.0),
        (5.9, 0.95, -70.0),
        (7.7, 0.80, 90.0),
        (9.4, 1.10, 110.0),
        (11.3, 0.80, -90.0),
        (13.3, 0.95, -100.0),
        (15.2, 0.80, 80.0),
    ),
    gates_at_m=(6.0, 12.0),
)

_DROP_HALL: Final = Track(
    finish_at_m=9.0,
    height_points=tuple(
        HeightPoint(at_m, height_m)
        for at_m, height_m in (
            *((-0.2, 1.642), (0.0, 1.500), (0.5, 1.147), (1.0, 0.800), (1.5, 0.497)),
            *((2.0, 0.285), (2.5, 0.160), (3.0, 0.098), (4.0, 0.062), (6.0, 0.034)),
            *((8.0, 0.012), (9.0, 0.000)),
        )
    ),
)

_RAMP: Final = Track(
    finish_at_m=4.0,
    slope_points=(
        SlopePoint(0.0, 12.0),
        SlopePoint(1.4, 12.0),
        SlopePoint(1.8, 0.0),
        SlopePoint(4.0, 0.0),
    ),
    gates_at_m=(2.0, 3.0),
)

_CLUB_ROOM: Final = {"latitude_deg": 47.6, "altitude_m": 310.0}

HILLS: Final = (
    Hill(
        "Kettle Lane Hill",
        "The club's winding hill: printed sections on a plywood frame, eight bends, walls of "
        "3 mm strip. The walls were polished and waxed after the fourth evening.",
        (
            (58, TrackState(_WINDING, 0.011, 0.26, temperature_c=18.0, **_CLUB_ROOM)),
            (24, TrackState(_WINDING, 0.011, 0.22, temperature_c=19.0, **_CLUB_ROOM)),
        ),
        0.045,
    ),
    Hill(
        "Granary Drop",
        "Straight drop in the old granary, two lanes, 1.5 m down, then a long level. Heights were "
        "taken with a water level.",
        ((51, TrackState(_DROP_HALL, 0.010, 0.2, temperature_c=15.0, **_CLUB_ROOM)),),
        0.012,
        lanes=2,
        lane_s=0.006,
    ),
    Hill(
        "Garage ramp",
        "Test ramp at home: a shelf board and a strip of floor, gates at 2 and 3 m.",
        ((60, TrackState(_RAMP, 0.012, 0.2, latitude_deg=47.6, temperature_c=20.0)),),
        0.008,
    ),
)
"""Main hill first."""
