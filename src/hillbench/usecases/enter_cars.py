"""Enter cars at a meet, and note who is late, gone, missing, or come by post."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.meet_event import Draft, Event, EventKind
from hillbench.racing.meet_state import MeetState
from hillbench.racing.officiate import require_car
from hillbench.records import car_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.names import clean_name, name_key
from hillbench.usecases.write_journal import Plan, Writer, Written, with_drafts, write_journal

MOST_ENTRIES = 200


@dataclass(frozen=True, slots=True)
class NewEntry:
    """A car to be entered.

    Attributes
    ----------
    car_name, owner_name
        Of the car; the owner may be empty.
    car_id
        The car on the bench; None for a guest.
    posted
        Whether it comes by post.
    """

    car_name: str
    owner_name: str = ""
    car_id: int | None = None
    posted: bool = False


def enter_cars(
    book: BenchBook, meet_id: int, writer: Writer, cars: Sequence[NewEntry], seed: int
) -> Written:
    """Enter cars; after the draw the heats still to run are drawn anew with them.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes.
    cars
        One or more; no two at the meet may share a name.
    seed
        Of the draw.

    Raises
    ------
    InvalidInput
        For a name that is taken or none, or more than 200 cars, or on a ladder.
    """
    cleaned = [
        NewEntry(
            clean_name(one.car_name, "car_name"),
            clean_name(one.owner_name, "owner_name") if one.owner_name.strip() else "",
            one.car_id,
            one.posted,
        )
        for one in cars
    ]
    _require_on_bench(book, cleaned)

    def plan(state: MeetState, events: Sequence[Event]) -> Sequence[Draft]:
        _require_room(state, cleaned)
        first = max(state.entries, default=0) + 1
        drafts = [_entered(number, one) for number, one in enumerate(cleaned, start=first)]
        return [*drafts, *_redrawn(state, events, drafts, seed)]

    return write_journal(book, meet_id, writer, plan)


def note_car(
    book: BenchBook, meet_id: int, writer: Writer, car: int, kind: EventKind, seed: int
) -> Written:
    """Note that a car is withdrawn, back, absent, there, received by post or sent back.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes.
    car
        Number of the car.
    kind
        What is noted.
    seed
        Of the draw, where the rest is drawn anew.
    """
    asked = [Draft(kind, {"car": car})]

    def plan(state: MeetState, events: Sequence[Event]) -> Sequence[Draft]:
        require_car(state, car)
        if _stands(state, car, kind):
            return ()
        moves = kind not in {EventKind.RECEIVED, EventKind.SENT_BACK}
        return [*asked, *(_redrawn(state, events, asked, seed) if moves else ())]

    return write_journal(book, meet_id, writer, plan)


def note_lane(
    book: BenchBook, meet_id: int, writer: Writer, lane: int, *, closed: bool, seed: int
) -> Written:
    """Take a lane out of order, or back into use; the rest is drawn anew.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes.
    lane
        Number of the lane.
    closed
        Whether it is out of order.
    seed
        Of the draw.
    """
    return write_journal(book, meet_id, writer, _lane_plan(lane, seed, closed=closed))


def _lane_plan(lane: int, seed: int, *, closed: bool) -> Plan:
    kind = EventKind.LANE_CLOSED if closed else EventKind.LANE_OPENED
    asked = [Draft(kind, {"lane": lane})]

    def plan(state: MeetState, events: Sequence[Event]) -> Sequence[Draft]:
        lanes = state.settings.lanes
        if not 1 <= lane <= lanes:
            raise InvalidInput([Problem("lane", str(lane), f"1 to {lanes}")])
        if (lane in state.closed_lanes) is closed:
            return ()
        if closed and len(state.closed_lanes) + 1 >= lanes:
            allowed = "at least one lane left open"
            raise InvalidInput([Problem("lane", "the last one open", allowed)])
        return [*asked, *_redrawn(state, events, asked, seed)]

    return plan


def _redrawn(
    state: MeetState, events: Sequence[Event], drafts: Sequence[Draft], seed: int
) -> tuple[Draft, ...]:
    """Return the rest of the heats drawn anew, where heats were drawn."""
    if not state.drawn:
        return ()
    from hillbench.racing.redraw import draw_rest, first_draw  # loads the compiled kernels

    after, rng = with_drafts(events, drafts), np.random.default_rng(seed)
    changed = after.active() != state.active() or after.closed_lanes != state.closed_lanes
    anyone_absent = any(after.entries[car].absent for car in after.active())
    if not state.heats and changed and not anyone_absent:
        return (first_draw(after, rng),)
    found = draw_rest(after, rng)
    return () if found is None else (found,)


def _entered(number: int, one: NewEntry) -> Draft:
    payload = {
        "car": number,
        "name": one.car_name,
        "owner": one.owner_name,
        "car_id": one.car_id,
        "posted": one.posted,
    }
    return Draft(EventKind.ENTERED, payload)


def _require_on_bench(book: BenchBook, cars: Sequence[NewEntry]) -> None:
    with book.read() as session:
        for one in cars:
            if one.car_id is not None:
                car_store.find_car(session, one.car_id)


def _require_room(state: MeetState, cars: Sequence[NewEntry]) -> None:
    if state.closed:
        raise InvalidInput([Problem("meet", "ended", "an open one", "open it again first")])
    if not cars:
        raise InvalidInput([Problem("car_name", "empty", "one car or more", "name a car")])
    if (state.seeds or state.finalists) and state.heats:
        seen = "after the last draw"
        allowed = "before the ladder or the final is drawn"
        raise InvalidInput([Problem("car_name", seen, allowed, "let it run beside, as a guest")])
    if len(state.entries) + len(cars) > MOST_ENTRIES:
        raise InvalidInput([Problem("cars", f"{len(cars)} more", f"at most {MOST_ENTRIES} in all")])
    taken = {name_key(entry.name) for entry in state.entries.values()}
    for one in cars:
        key = name_key(one.car_name)
        if key in taken:
            allowed = "a name that no other car of the meet has"
            raise InvalidInput([Problem("car_name", repr(one.car_name), allowed, "add a word")])
        taken.add(key)


def _stands(state: MeetState, car: int, kind: EventKind) -> bool:
    """Return whether that is how it stands already."""
    entry = state.entries[car]
    return {
        EventKind.WITHDRAWN: entry.withdrawn,
        EventKind.RETURNED: not entry.withdrawn,
        EventKind.ABSENT: entry.absent,
        EventKind.PRESENT: not entry.absent,
        EventKind.RECEIVED: entry.received and not entry.sent_back,
        EventKind.SENT_BACK: entry.sent_back,
    }[kind]
