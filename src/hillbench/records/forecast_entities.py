"""A kept forecast as a plain value."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class ForecastRecord:
    """What a change was forecast to gain.

    Attributes
    ----------
    track_version_id
        The track as it was when the forecast was made.
    made_at
        When it was made.
    done_at
        When the change was made; None while it is not. Runs from then on come after it.
    change_name
        The change in words.
    change
        The change as in the file of `hillbench advise`.
    verdict
        What was advised of it.
    time_s
        Typical time afterwards, s.
    gain_s, gain_low_s, gain_high_s
        Time gained, median with its 90 % interval, s.
    target_time_s, probability_target
        Time to be reached, s, and the chance of it; None without one.
    """

    id: int
    track_version_id: int
    track_id: int
    car_id: int
    made_at: datetime
    done_at: datetime | None
    change_name: str
    change: dict[str, Any]
    verdict: str
    time_s: float
    gain_s: float
    gain_low_s: float
    gain_high_s: float
    target_time_s: float | None
    probability_target: float | None
    removed_at: datetime | None = None
