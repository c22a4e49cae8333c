"""Take the times of a timer's line into the heat on the track."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.counts import EMPTY
from hillbench.racing.meet_event import Draft, Event
from hillbench.racing.meet_state import MeetState
from hillbench.racing.officiate import Told, tell
from hillbench.racing.staging import upcoming
from hillbench.records.bench_book import BenchBook
from hillbench.timing.line_rule import LineTime
from hillbench.usecases.write_journal import Writer, Written, write_journal


def take_meet_line(
    book: BenchBook, meet_id: int, writer: Writer, times: Sequence[LineTime]
) -> Written:
    """Enter the times of one line in the heat on the track, or else in the next one.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes; its key is that of the line, so that nothing is entered twice.
    times
        Times as read. One that names no lane belongs to the first lane not told yet; one
        without a time is a car that did not finish.

    Raises
    ------
    InvalidInput
        If no heat is to come, or a lane is empty or told already.
    """

    def plan(state: MeetState, _events: Sequence[Event]) -> Sequence[Draft]:
        running, coming = state.running, upcoming(state)
        if running is None and not coming:
            raise InvalidInput([Problem("heat", "none to come", "a heat drawn", "draw first")])
        number, lanes = (
            (running.number, list(running.missing))
            if running is not None
            else (coming[0].number, _lanes(coming[0].cars))
        )
        told = []
        for time in times:
            lane = _lane_of(time, lanes)
            if lane in lanes:
                lanes.remove(lane)
            note = "no finish" if time.time_s is None else "clean"
            told.append(Told(lane, time.time_s, note=note))
        return tell(state, number, told)

    return write_journal(book, meet_id, writer, plan)


def _lanes(cars: Sequence[int]) -> list[int]:
    return [lane for lane, car in enumerate(cars, start=1) if car != EMPTY]


def _lane_of(time: LineTime, waiting: Sequence[int]) -> int:
    if time.lane is not None and time.lane.isdecimal():
        return int(time.lane)
    if not waiting:
        raise InvalidInput([Problem("lane", "more times than lanes", "one time a lane")])
    return waiting[0]
