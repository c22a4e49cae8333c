"""Enter a run at the clock, edit it, and take the last one back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records import (
    car_store,
    outing_store,
    removal,
    run_edit_store,
    run_store,
    track_store,
)
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind, RunNote, TimedBy, TimedRun
from hillbench.records.outing_entities import Outing
from hillbench.usecases.check_entry import (
    reading_uncertainty_s,
    require_entry,
    require_gate_times,
    require_plausible,
)
from hillbench.usecases.plan_outing import lane_of

_LATEST_RUNS: Final = 60


def enter_run(
    book: BenchBook,
    outing_id: int,
    car_id: int,
    finish_time_s: float | None,
    note: str,
    now: datetime,
    *,
    lane: str | None = None,
    entry_key: str | None = None,
    time_source: str = "typed",
    time_uncertainty_s: float | None = None,
    gate_times_s: Sequence[float | None] = (),
    at: datetime | None = None,
    confirmed: bool = False,
) -> TimedRun:
    """Keep one run of an outing, numbered after those entered before it.

    Parameters
    ----------
    car_id
        The car; one that is not in the plan may run as well.
    finish_time_s
        Time from start to finish, s; None for a run off the track or without a finish.
    note
        One of `RunNote`.
    lane
        Lane it ran on; as planned where None.
    entry_key
        Chosen by the device. An entry with the same key is kept once, however often and from
        wherever it is sent; the run kept first is returned.
    time_source
        One of `TimedBy`.
    time_uncertainty_s
        Standard uncertainty of the time, s; for ``phone`` that of a hand on a button where None.
    gate_times_s
        Time from the start to each gate of the track, s, None for one that was not taken; empty
        where no gate was read. A run that left the track may have some.
    at
        When it was run by the device's clock; `now` where None or where that clock cannot be
        right. The order of the runs is that of their entry, so that a clock may jump.
    confirmed
        Whether a time far from all others on the track is meant.

    Raises
    ------
    InvalidInput
        If a value is not allowed, or the time is far from all others and not confirmed (place
        ``finish_time_s``, with what was probably meant).
    NotFound
        If there is no such outing or car.
    """
    if entry_key is not None and (kept := _kept(book, outing_id, entry_key)) is not None:
        return kept
    require_entry(finish_time_s, note, lane, entry_key, time_source, time_uncertainty_s)
    with book.write() as session:
        outing = outing_store.find_outing(session, outing_id)
        # Another device or process may have sent it since.
        known = None if entry_key is None else outing_store.run_with_key(session, entry_key)
        if known is not None:
            return _of_outing(known, outing_id)
        _require_in_use(outing)
        if not confirmed:
            _require_plausible(session, outing, finish_time_s)
        gates = require_gate_times(session, outing.track_version_id, gate_times_s, finish_time_s)
        car_store.touch_car(session, car_id, now)
        runs = outing_store.list_outing_runs(session, [outing_id])
        return outing_store.add_outing_run(
            session,
            outing,
            car_id,
            finish_time_s,
            RunNote(note),
            _moment(at, outing, now),
            lane=lane_of(outing.plan, runs, car_id) if lane is None else lane.strip(),
            entry_key=entry_key,
            time_source=TimedBy(time_source),
            time_uncertainty_s=reading_uncertainty_s(time_source, time_uncertainty_s),
            gate_times_s=gates,
        )


def edit_run(
    book: BenchBook,
    run_id: int,
    car_id: int,
    finish_time_s: float | None,
    note: str,
    now: datetime,
    *,
    lane: str | None = None,
    gate_times_s: Sequence[float | None] | None = None,
    confirmed: bool = False,
) -> TimedRun:
    """Give a run other values; those it had are kept and shown.

    Parameters
    ----------
    car_id
        The car.
    finish_time_s
        Time from start to finish, s; None for a run off the track or without a finish.
    note
        One of `RunNote`.
    lane
        Lane it ran on; None for none.
    gate_times_s
        As in `enter_run`; None leaves them as they are.
    confirmed
        Whether a time far from all others on the track is meant.

    Raises
    ------
    InvalidInput
        As in `enter_run`.
    NotFound
        If there is no such run or car.
    """
    require_entry(finish_time_s, note, lane, None, TimedBy.TYPED, None)
    with book.write() as session:
        run = run_edit_store.find_run(session, run_id)
        if not confirmed and finish_time_s != run.finish_time_s and run.outing_id is not None:
            outing = outing_store.find_outing(session, run.outing_id)
            _require_plausible(session, outing, finish_time_s, except_id=run_id)
        asked = run.gate_times_s if gate_times_s is None else gate_times_s
        gates = require_gate_times(session, run.track_version_id, asked, finish_time_s)
        car_store.touch_car(session, car_id, now)
        return run_edit_store.edit_run(
            session, run_id, car_id, finish_time_s, RunNote(note), lane, now, gates
        )


def undo_last(book: BenchBook, outing_id: int, now: datetime) -> TimedRun | None:
    """Remove the last run of an outing and return it; None where there is none."""
    with book.write() as session:
        outing_store.find_outing(session, outing_id)
        runs = outing_store.list_outing_runs(session, [outing_id])
        if not runs:
            return None
        removal.remove(session, Kind.TIMED_RUN, runs[-1].id, now)
        return runs[-1]


def _kept(book: BenchBook, outing_id: int, entry_key: str) -> TimedRun | None:
    with book.read() as session:
        known = outing_store.run_with_key(session, entry_key)
    return None if known is None else _of_outing(known, outing_id)


def _of_outing(run: TimedRun, outing_id: int) -> TimedRun:
    if run.outing_id != outing_id:
        seen = "one that was used in another outing"
        allowed = "a key of its own for each entry"
        raise InvalidInput([Problem("entry_key", seen, allowed, "enter the run again")])
    return run


def _require_in_use(outing: Outing) -> None:
    if outing.removed_at is not None:
        seen = "one that was removed"
        raise InvalidInput([Problem("outing", seen, "an outing in use", "restore it first")])


def _require_plausible(
    session: Session, outing: Outing, finish_time_s: float | None, except_id: int | None = None
) -> None:
    latest = run_store.list_runs(session, track_id=outing.track_id, limit=_LATEST_RUNS)
    others = [
        run.finish_time_s for run in latest if run.finish_time_s is not None and run.id != except_id
    ]
    length_m = track_store.find_track(session, outing.track_id).track.finish_at_m
    require_plausible(finish_time_s, others, length_m)


def _moment(at: datetime | None, outing: Outing, now: datetime) -> datetime:
    """Return when the device says it was run, unless that was before the outing or is to come."""
    return now if at is None or not outing.begun_at <= at <= now else at
