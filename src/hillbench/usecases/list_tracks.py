"""The tracks in use, each with the times run on it."""

from __future__ import annotations

import statistics
from dataclasses import dataclass
from typing import Final

from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TrackRecord
from hillbench.records.run_store import list_runs
from hillbench.records.track_store import list_tracks as stored_tracks

LATEST_RUNS: Final = 100
"""How many runs of a track, latest first, count for its times."""


@dataclass(frozen=True, slots=True)
class TrackSummary:
    """A track and its times.

    Attributes
    ----------
    record
        The track in its newest version.
    runs
        How many of its latest runs have a time.
    best_time_s, typical_time_s
        Least and middle of these times; None without any.
    """

    record: TrackRecord
    runs: int
    best_time_s: float | None
    typical_time_s: float | None


def list_tracks(book: BenchBook) -> tuple[TrackSummary, ...]:
    """Return the tracks in use, last changed first."""
    with book.read() as session:
        records = stored_tracks(session)
        times = {
            record.id: [
                run.finish_time_s
                for run in list_runs(session, track_id=record.id, limit=LATEST_RUNS)
                if run.finish_time_s is not None
            ]
            for record in records
        }
    return tuple(_summary(record, times[record.id]) for record in records)


def _summary(record: TrackRecord, times_s: list[float]) -> TrackSummary:
    if not times_s:
        return TrackSummary(record, 0, None, None)
    return TrackSummary(record, len(times_s), min(times_s), statistics.median(times_s))
