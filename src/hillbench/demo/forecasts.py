"""Invented forecasts: some held against the clock since, one whose change is not made yet."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

from sqlalchemy.orm import Session

from hillbench.records import forecast_store
from hillbench.records.entities import TrackRecord
from hillbench.records.forecast_entities import ForecastRecord

_BY_DAY_S: Final = -3600


@dataclass(frozen=True, slots=True)
class _Kept:
    """A forecast as it was kept.

    Attributes
    ----------
    made, done
        Days ago that it was kept, and that its change was made; None for not yet.
    gain_s
        Time gained with its 90 % interval: low, median, high, s.
    time_s
        Typical time afterwards, s.
    """

    car: str
    hill: str
    made: int
    done: int | None
    name: str
    verdict: str
    gain_s: tuple[float, float, float]
    time_s: float
    change: Mapping[str, Any] = field(default_factory=dict)


KEPT: Final = (
    _Kept(
        "Thimble", "Kettle Lane Hill", 20, 15, "trim 15 % of the drag area", "probably worth it",
        (0.006, 0.012, 0.019), 9.64, {"drag_area_factor": 0.85},
    ),
    _Kept(
        "Mustard", "Kettle Lane Hill", 19, 18, "bring the bearings to “graphite”",
        "probably worth it", (0.21, 0.48, 0.79), 9.28, {"state": "graphite"},
    ),
    _Kept(
        "Plank", "Granary Drop", 26, None, "add weight up to 56.95 g", "unsure",
        (-0.001, 0.006, 0.013), 2.21, {"mass_g": 56.95},
    ),
)  # fmt: skip
"""Earliest first."""


def fill_forecasts(
    session: Session,
    car_ids: Mapping[str, int],
    tracks: Mapping[str, TrackRecord],
    moment: Callable[[int, int], datetime],
) -> None:
    """Add the kept forecasts.

    Parameters
    ----------
    session
        Where to.
    car_ids, tracks
        Numbers of the cars and hills as they are now, by name.
    moment
        Returns the evening so many days ago, and so many seconds later.
    """
    for kept in KEPT:
        track = tracks[kept.hill]
        done_at = None if kept.done is None else moment(kept.done, _BY_DAY_S)
        low, middle, high = kept.gain_s
        record = ForecastRecord(
            id=0,
            track_version_id=track.version_id,
            track_id=track.id,
            car_id=car_ids[kept.car],
            made_at=moment(kept.made, _BY_DAY_S),
            done_at=done_at,
            change_name=kept.name,
            change={"name": kept.name, "parts": 1, **kept.change},
            verdict=kept.verdict,
            time_s=kept.time_s,
            gain_s=middle,
            gain_low_s=low,
            gain_high_s=high,
            target_time_s=None,
            probability_target=None,
        )
        forecast_store.add_forecast(session, record)
