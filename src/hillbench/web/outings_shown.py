"""Outings as they stand on the pages of a car and of a track."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from hillbench.pictures.timing_history import HistoryPoint, history_picture
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.show_timing import (
    MonthSpread,
    OutingPoint,
    Record,
    TrackTiming,
    show_timing_of_car,
    show_timing_of_track,
)
from hillbench.web.clock_words import told_conditions, unbroken
from hillbench.web.pictured import Pictured, pictured

MOST_TRACKS: Final = 3
_MOST_ROWS: Final = 12
_MOST_POINTS: Final = 60
_MOST_SERIES: Final = 4


@dataclass(frozen=True, slots=True)
class OutingRow:
    """One outing in a table.

    Attributes
    ----------
    point
        What it says of one car.
    day
        Conditions, in words.
    """

    point: OutingPoint
    day: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TimesShown:
    """The times on one track, of one car or of all.

    Attributes
    ----------
    track_id, track_name
        The track.
    real_difference
        What would be called a real difference there.
    record
        Best time there; None without any.
    history
        Typical time of each outing; None for fewer than two.
    history_says
        The same in words.
    months
        Spread of one run over the months; None for fewer than two.
    months_say
        The same in words.
    rows
        Latest outings first.
    left_out
        How many older ones there are.
    """

    track_id: int
    track_name: str
    real_difference: str
    record: Record | None
    history: Pictured | None
    history_says: str
    months: Pictured | None
    months_say: str
    rows: tuple[OutingRow, ...]
    left_out: int


def times_of_car(book: BenchBook, car_id: int) -> tuple[TimesShown, ...]:
    """Return the times of a car on the tracks it ran on last."""
    return tuple(
        _shown(timing, f"track{timing.track_id}")
        for timing in show_timing_of_car(book, car_id)[:MOST_TRACKS]
        if timing.points
    )


def times_of_track(book: BenchBook, track_id: int) -> TimesShown | None:
    """Return the times on a track; None without any."""
    timing = show_timing_of_track(book, track_id)
    return _shown(timing, "track") if timing.points else None


def _shown(timing: TrackTiming, key: str) -> TimesShown:
    points = _of_most_run(timing.points)
    history_says = _history_says(points)
    months_say = _months_say(timing.months)
    latest = timing.points[::-1]
    return TimesShown(
        track_id=timing.track_id,
        track_name=timing.track_name,
        real_difference=unbroken(timing.real_difference),
        record=timing.record,
        history=_history(points, history_says, f"history-{key}"),
        history_says=history_says,
        months=_months(timing.months, months_say, f"months-{key}"),
        months_say=months_say,
        rows=tuple(
            OutingRow(point, told_conditions(point.outing.conditions) if point.outing else ())
            for point in latest[:_MOST_ROWS]
        ),
        left_out=max(len(latest) - _MOST_ROWS, 0),
    )


def _of_most_run(points: Sequence[OutingPoint]) -> list[OutingPoint]:
    """Return the latest points of the cars with most outings, so that a picture can be read."""
    counts = Counter(point.label for point in points)
    shown = {label for label, _ in counts.most_common(_MOST_SERIES)}
    return [point for point in points if point.label in shown][-_MOST_POINTS:]


def _history(points: Sequence[OutingPoint], says: str, key: str) -> Pictured | None:
    if len({point.at for point in points}) < 2:
        return None
    shown = [
        HistoryPoint(point.at, point.low_s, point.typical_time_s, point.high_s, point.label)
        for point in points
    ]
    title = "Typical time of each outing, with its 90 % interval"
    return pictured(
        lambda width, name: history_picture(shown, title, says, width_px=width, key=name), key
    )


def _history_says(points: Sequence[OutingPoint]) -> str:
    """Return how the car with most outings changed from its first outing to its last."""
    if not points:
        return ""
    label = Counter(point.label for point in points).most_common(1)[0][0]
    own = [point for point in points if point.label == label]
    first, last = own[0], own[-1]
    if len(own) < 2:
        return unbroken(f"{label} typically took {last.typical_time_s:.2f} s.")
    change_s = last.typical_time_s - first.typical_time_s
    if first.low_s <= last.high_s and last.low_s <= first.high_s:
        said = f"{label} went from {first.typical_time_s:.2f} to {last.typical_time_s:.2f} s, "
        return unbroken(f"{said}within what the two intervals leave open.")
    word = "faster" if change_s < 0.0 else "slower"
    return unbroken(
        f"{label} is {abs(change_s):.2f} s {word} than in its first outing; the day, the track"
        " and the car all have a part in that."
    )


def _months(months: Sequence[MonthSpread], says: str, key: str) -> Pictured | None:
    if len(months) < 2:
        return None
    shown = []
    for month in months:
        low, high = month.repeatability.interval_s()
        at, spread_s = _middle(month.month), month.repeatability.spread_s
        shown.append(HistoryPoint(at, low, spread_s, high, when=f"{at:%b %Y}"))
    title = "Spread of one run, month by month"
    return pictured(
        lambda width, name: history_picture(shown, title, says, width_px=width, key=name), key
    )


def _months_say(months: Sequence[MonthSpread]) -> str:
    if not months:
        return ""
    first, last = months[0].repeatability, months[-1].repeatability
    if len(months) == 1:
        return unbroken(f"One run varies by {last.spread_s:.3f} s.")
    (low, high), (low_now, high_now) = first.interval_s(), last.interval_s()
    said = f"One run varied by {first.spread_s:.3f} s at first and by {last.spread_s:.3f} s of late"
    change = ": no real change" if low <= high_now and low_now <= high else ""
    return unbroken(f"{said}{change}. Every run noted as clean counts here, odd ones too.")


def _middle(month: str) -> datetime:
    year, number = month.split("-")
    return datetime(int(year), int(number), 15, tzinfo=UTC)
