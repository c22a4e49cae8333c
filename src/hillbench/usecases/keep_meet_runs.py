"""Keep the times of a meet with the cars of the bench that ran them."""

from __future__ import annotations

from datetime import UTC, datetime

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.counts import EMPTY
from hillbench.racing.meet_state import NOT_STARTED
from hillbench.records import car_store, outing_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import RunNote, TimedBy
from hillbench.records.outing_entities import Plan, PlannedTurn
from hillbench.records.outing_store import NewRun
from hillbench.usecases.read_meet import MeetView


def keep_meet_runs(book: BenchBook, view: MeetView, now: datetime) -> int:
    """Add an outing with the runs of the bench's own cars; return how many runs it has.

    Parameters
    ----------
    view
        The meet.

    Raises
    ------
    InvalidInput
        If it was run on no track of the bench, took no times, or was kept already.
    """
    state, meet = view.state, view.meet
    ids = {car: entry.car_id for car, entry in state.entries.items() if entry.car_id is not None}
    if meet.track_id is None or not state.settings.timed or not ids:
        seen = "without a track, times or cars of this bench"
        raise InvalidInput([Problem("meet", seen, "one with all three", "edit the meet first")])
    turns, runs = [], []
    for heat in state.heats.values():
        if not heat.done:
            continue
        for lane, row in heat.rows.items():
            car_id = ids.get(row.car)
            if row.car == EMPTY or car_id is None or row.note == NOT_STARTED:
                continue
            key = f"meet-{meet.id}-{heat.number}-{lane}"
            turns.append(PlannedTurn(heat.number, car_id, str(lane)))
            note = RunNote(row.note)
            runs.append(NewRun(car_id, row.time_s, note, str(lane), key, TimedBy.TIMER))
    if not runs:
        raise InvalidInput([Problem("meet", "without a finished heat", "one heat or more")])
    begun_at = datetime.fromtimestamp(
        min(heat.started_at_s for heat in state.heats.values() if heat.started_at_s), UTC
    )
    with book.write() as session:
        if outing_store.run_with_key(session, runs[0].entry_key or "") is not None:
            raise InvalidInput([Problem("meet", "kept already", "once", "see the Clock")])
        track = track_store.find_track(session, meet.track_id)
        for car_id in {run.car_id for run in runs}:
            car_store.touch_car(session, car_id, now)
        plan = Plan(tuple(sorted(set(ids.values()))), state.settings.lanes, True, tuple(turns))
        outing = outing_store.add_outing(
            session, track.version_id, track.id, begun_at, plan, note=meet.name
        )
        outing_store.add_outing_runs(session, outing, runs)
    return len(runs)
