"""What an official may write in the journal of a meet as it stands, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.climb import heat_winner
from hillbench.racing.counts import EMPTY
from hillbench.racing.meet_event import Draft, Event, EventKind, last_action
from hillbench.racing.meet_state import (
    NOT_STARTED,
    STAGE_LADDER,
    MeetHeat,
    MeetState,
    Planned,
    Row,
)
from hillbench.racing.staging import upcoming

FINISHED_NOTES: Final = ("clean", "snag")
OTHER_NOTES: Final = ("off track", "no finish", NOT_STARTED)
LEAST_S, GREATEST_S = 0.1, 3600.0


@dataclass(frozen=True, slots=True)
class Told:
    """What was told of one lane.

    Attributes
    ----------
    lane
        The lane.
    time_s, place
        Time, s, or place across the line; both None without a finish.
    note
        clean, snag, off track, no finish or did not start.
    """

    lane: int
    time_s: float | None = None
    place: int | None = None
    note: str = "clean"


def start(state: MeetState, number: int) -> tuple[Draft, ...]:
    """Let a heat go: one that is to come, while none is on the track."""
    _require_open(state)
    running = state.running
    if running is not None:
        missing = ", ".join(str(lane) for lane in running.missing)
        allowed = "one heat at a time"
        remedy = f"enter what lane {missing} did in heat {running.number} first"
        raise InvalidInput([Problem("heat", f"{number}", allowed, remedy)])
    return (_started(_planned(state, number)),)


def tell(state: MeetState, number: int, told: Sequence[Told]) -> tuple[Draft, ...]:
    """Enter what lanes did in a heat; a heat that nobody let go is let go by it.

    Parameters
    ----------
    state
        The meet.
    number
        Of the heat.
    told
        One or more lanes; the others may follow.
    """
    _require_open(state)
    heat = state.heats.get(number)
    drafts: tuple[Draft, ...] = ()
    if heat is None or heat.started_at_s is None:
        drafts = start(state, number)
        cars = _planned(state, number).cars
        known: Mapping[int, Row] = {}
    else:
        cars, known = heat.cars, heat.rows
    problems = []
    for one in told:
        problems += _problems(state, one, cars)
        if one.lane in known:
            seen = f"told already: {known[one.lane].told()}"
            problems.append(
                Problem(f"lane {one.lane}", seen, "one entry a lane", "correct it in the heat")
            )
    problems += _place_problems([*(row.place for row in known.values()), *(t.place for t in told)])
    if not told:
        problems.append(Problem("heat", "without any lane", "one lane or more"))
    if problems:
        raise InvalidInput(problems)
    rows = [_row(one, cars) for one in told]
    return (*drafts, Draft(EventKind.TIMES, {"heat": number, "rows": rows}))


def call_back(state: MeetState, number: int) -> tuple[Draft, ...]:
    """Note a false start of the heat on the track; it starts again."""
    heat = _started_heat(state, number)
    if not heat.running or heat.rows:
        raise InvalidInput(
            [Problem("heat", str(number), "the heat on the track, before any time", "run it again")]
        )
    return (Draft(EventKind.FALSE_START, {"heat": number}),)


def run_again(state: MeetState, number: int, reason: str) -> tuple[Draft, ...]:
    """Let a heat be run again: its rows stay on record and do not count."""
    heat = _started_heat(state, number)
    _require_reason(reason)
    _require_not_built_upon(state, heat)
    return (Draft(EventKind.RERUN, {"heat": number, "reason": reason.strip()}),)


def correct(state: MeetState, number: int, told: Told, reason: str) -> tuple[Draft, ...]:
    """Give one row of a heat another value, with the reason; what it said is kept."""
    heat = _started_heat(state, number)
    _require_reason(reason)
    problems = _problems(state, told, heat.cars)
    if told.lane not in heat.rows:
        seen = "nothing yet"
        problems.append(Problem(f"lane {told.lane}", seen, "a lane that was told", "enter it"))
    others = [row.place for lane, row in heat.rows.items() if lane != told.lane]
    problems += _place_problems([*others, told.place])
    if problems:
        raise InvalidInput(problems)
    before = heat_winner(heat)
    row = _row(told, heat.cars)
    if heat.stage == STAGE_LADDER and before != _winner_with(heat, row):
        _require_not_built_upon(state, heat)
    del row["car"]
    payload = {"heat": number, "reason": reason.strip(), **row}
    return (Draft(EventKind.CORRECTED, payload),)


def protest(state: MeetState, car: int, heat: int, by: str, text: str) -> tuple[Draft, ...]:
    """Note a protest against a car, in a heat or (0) as such."""
    _require_car(state, car)
    if heat and heat not in state.heats:
        raise InvalidInput([Problem("heat", str(heat), "one that was run, or none")])
    _require_reason(text, "protest")
    payload = {"car": car, "heat": heat, "by": by.strip(), "text": text.strip()}
    return (Draft(EventKind.PROTEST, payload),)


def rule_on(state: MeetState, seq: int, text: str) -> tuple[Draft, ...]:
    """Note what was decided on a protest."""
    open_ones = [one for one in state.protests if one.seq == seq and not one.ruling]
    if not open_ones:
        raise InvalidInput([Problem("protest", str(seq), "an open one", "look at it again")])
    _require_reason(text, "ruling")
    return (Draft(EventKind.RULING, {"protest": seq, "text": text.strip()}),)


def take_back(events: Sequence[Event]) -> tuple[Draft, ...]:
    """Take back the last thing done that still counts."""
    last = last_action(events)
    if not last:
        raise InvalidInput([Problem("undo", "nothing done yet", "something to take back")])
    return (Draft(EventKind.UNDONE, {"events": [event.seq for event in last]}),)


def close(state: MeetState) -> tuple[Draft, ...]:
    """End the meet: nothing is entered any more."""
    _require_open(state)
    open_ones = [one for one in state.protests if not one.ruling]
    if open_ones:
        seen = f"{len(open_ones)} without a ruling"
        raise InvalidInput([Problem("protests", seen, "all decided", "decide them first")])
    return (Draft(EventKind.CLOSED),)


def reopen(state: MeetState) -> tuple[Draft, ...]:
    """Open a meet again that was ended."""
    if not state.closed:
        raise InvalidInput([Problem("meet", "open", "one that was ended")])
    return (Draft(EventKind.REOPENED),)


def require_car(state: MeetState, car: int) -> None:
    """Raise `InvalidInput` for the number of no car entered, or where the meet is over."""
    _require_open(state)
    _require_car(state, car)


def _require_open(state: MeetState) -> None:
    if state.closed:
        raise InvalidInput([Problem("meet", "ended", "an open one", "open it again first")])


def _require_car(state: MeetState, car: int) -> None:
    if car not in state.entries:
        raise InvalidInput([Problem("car", str(car), "the number of a car entered")])


def _require_reason(text: str, where: str = "reason") -> None:
    if not text.strip():
        raise InvalidInput([Problem(where, "empty", "a few words", "say why")])


def _planned(state: MeetState, number: int) -> Planned:
    found = next((one for one in upcoming(state) if one.number == number), None)
    if found is None:
        raise InvalidInput([Problem("heat", str(number), "one that is to come", "look again")])
    return found


def _started(planned: Planned) -> Draft:
    payload: dict[str, Any] = {
        "heat": planned.number,
        "stage": planned.stage,
        "cars": list(planned.cars),
    }
    if planned.match is not None:
        payload |= {"match": planned.match, "race": planned.race}
    return Draft(EventKind.STARTED, payload)


def _started_heat(state: MeetState, number: int) -> MeetHeat:
    _require_open(state)
    heat = state.heats.get(number)
    if heat is None or heat.started_at_s is None:
        raise InvalidInput([Problem("heat", str(number), "one that was run", "look again")])
    return heat


def _require_not_built_upon(state: MeetState, heat: MeetHeat) -> None:
    """Refuse to change who won a match when one of its cars has raced on."""
    if heat.stage != STAGE_LADDER:
        return
    cars = set(heat.cars) - {EMPTY}
    later = [
        other.number
        for other in state.heats.values()
        if other.match not in {None, heat.match}
        and other.number > heat.number
        and cars & set(other.cars)
    ]
    if later:
        seen = f"{heat.number}, whose cars ran in heat {later[0]} since"
        raise InvalidInput(
            [Problem("heat", seen, "a match nobody built upon", "take back what came after first")]
        )


def _winner_with(heat: MeetHeat, row: Mapping[str, Any]) -> int | None:
    rows = dict(heat.rows)
    rows[row["lane"]] = Row(
        row["car"], row["lane"], row["time_s"], row["place"], row["note"], seq=0
    )
    return heat_winner(MeetHeat(heat.number, heat.stage, heat.cars, rows=rows))


def _problems(state: MeetState, told: Told, cars: Sequence[int]) -> list[Problem]:
    where = f"lane {told.lane}"
    if not 1 <= told.lane <= len(cars) or cars[told.lane - 1] == EMPTY:
        return [Problem(where, "empty in this heat", "a lane with a car")]
    if told.note in OTHER_NOTES:
        none = told.time_s is None and told.place is None
        return [] if none else [Problem(where, f"{told.note}, with a result", "one or the other")]
    if told.note not in FINISHED_NOTES:
        return [
            Problem(where, repr(told.note), "one of: " + ", ".join(FINISHED_NOTES + OTHER_NOTES))
        ]
    if not state.settings.timed:
        good = told.place is not None and 1 <= told.place <= len(cars) and told.time_s is None
        return [] if good else [Problem(where, f"place {told.place}", f"place 1 to {len(cars)}")]
    time_s = told.time_s
    if time_s is None or not (math.isfinite(time_s) and LEAST_S <= time_s <= GREATEST_S):
        seen = "without a time" if time_s is None else f"{time_s:g} s"
        return [Problem(where, seen, f"{LEAST_S:g} to {GREATEST_S:g} s", "or note no finish")]
    return [] if told.place is None else [Problem(where, "a place", "a time, at a timed meet")]


def _place_problems(places: Sequence[int | None]) -> list[Problem]:
    """Return the problem of places that cannot stand side by side; equal ones are a dead heat."""
    taken = sorted(place for place in places if place is not None)
    for at, place in enumerate(taken, start=1):
        better = sum(other < place for other in taken)
        # Lanes may be told one by one, so a gap is only wrong where it can never be filled.
        if place > max(at, better + 1) and len(taken) == len(places):
            return [Problem("places", ", ".join(map(str, taken)), "1, 2, 3 …, shared if equal")]
    return []


def _row(told: Told, cars: Sequence[int]) -> dict[str, Any]:
    return {
        "lane": told.lane,
        "car": cars[told.lane - 1],
        "time_s": told.time_s,
        "place": told.place,
        "note": told.note,
    }
