"""Keep a timed run."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.records import car_store, run_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import RunNote, TimedRun
from hillbench.records.quantities import check_range

TIME_RANGE_S: Final = (0.01, 3600.0, "s")
"""A run is timed in hundredths or finer, and no hill takes an hour."""


def note_run(
    book: BenchBook,
    track_id: int,
    car_id: int,
    finish_time_s: float | None,
    note: str,
    now: datetime,
    *,
    at: datetime | None = None,
) -> TimedRun:
    """Keep one descent on a track as it is now.

    Parameters
    ----------
    finish_time_s
        Time from start to finish, s; None for a run off the track or without a finish.
    note
        One of `RunNote`.
    at
        When it was run; `now` where None.

    Raises
    ------
    InvalidInput
        If the note is unknown, the time is out of range, or one of them excludes the other.
    NotFound
        If there is no such track or car.
    """
    problems = tuple(check_note(finish_time_s, note, TIME_RANGE_S))
    if problems:
        raise InvalidInput(problems)
    with book.write() as session:
        car_store.touch_car(session, car_id, now)
        track = track_store.find_track(session, track_id)
        return run_store.add_run(
            session,
            track.version_id,
            track_id,
            car_id,
            finish_time_s,
            RunNote(note),
            at or now,
        )


def check_note(
    finish_time_s: float | None, note: str, range_s: tuple[float, float, str]
) -> Iterator[Problem]:
    """Yield what is wrong with a time and a note, and with the two together."""
    if note not in set(RunNote):
        yield Problem("note", repr(note), "one of: " + ", ".join(RunNote))
        return
    finished = note in (RunNote.CLEAN, RunNote.SNAG)
    if finish_time_s is None:
        if finished:
            remedy = "type the time, or choose 'no finish'"
            yield Problem("finish_time_s", "empty", f"a time for a run noted {note!r}", remedy)
    elif not finished:
        remedy = "leave the time empty, or choose 'snag'"
        seen = f"{finish_time_s:g} s"
        yield Problem("finish_time_s", seen, f"no time for a run noted {note!r}", remedy)
    else:
        yield from check_range("finish_time_s", finish_time_s, range_s)
