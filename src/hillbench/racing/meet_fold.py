"""Add up the journal of a meet: the same journal always gives the same meet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from hillbench.racing.meet_event import Event, EventKind, in_effect
from hillbench.racing.meet_state import (
    STAGE_FINAL,
    Entry,
    MeetHeat,
    MeetSettings,
    MeetState,
    Planned,
    Protest,
    Row,
    Sheet,
)
from hillbench.racing.scrutiny import Verdict


def fold(events: Sequence[Event]) -> MeetState:
    """Return the meet that a journal adds up to.

    Parameters
    ----------
    events
        All of it, in order; what was taken back is skipped.
    """
    state = MeetState()
    for event in in_effect(events):
        _APPLY[event.kind](state, event)
    state.seq = events[-1].seq if events else 0
    return state


def _settings(state: MeetState, event: Event) -> None:
    state.settings = MeetSettings.stored(event.payload)


def _entered(state: MeetState, event: Event) -> None:
    payload = event.payload
    state.entries[payload["car"]] = Entry(
        payload["car"],
        payload["name"],
        payload.get("owner", ""),
        payload.get("car_id"),
        late=state.drawn,
        posted=payload.get("posted", False),
    )


def _withdrawn(state: MeetState, event: Event) -> None:
    state.entries[event.payload["car"]].withdrawn = True


def _returned(state: MeetState, event: Event) -> None:
    state.entries[event.payload["car"]].withdrawn = False


def _absent(state: MeetState, event: Event) -> None:
    state.entries[event.payload["car"]].absent = True


def _present(state: MeetState, event: Event) -> None:
    state.entries[event.payload["car"]].absent = False


def _lane_closed(state: MeetState, event: Event) -> None:
    state.closed_lanes.add(event.payload["lane"])


def _lane_opened(state: MeetState, event: Event) -> None:
    state.closed_lanes.discard(event.payload["lane"])


def _drawn(state: MeetState, event: Event) -> None:
    payload = event.payload
    stage = payload["stage"]
    if "seeds" in payload:
        state.seeds = tuple(payload["seeds"])
        state.plan = []
    else:
        heats = enumerate(payload["heats"], start=payload["first"])
        state.plan = [Planned(number, stage, tuple(cars)) for number, cars in heats]
    if stage == STAGE_FINAL:
        state.finalists = tuple(payload["finalists"])
    state.drawn = True


def _started(state: MeetState, event: Event) -> None:
    payload = event.payload
    number = payload["heat"]
    heat = state.heats.get(number)
    if heat is None:
        cars, match = tuple(payload["cars"]), payload.get("match")
        heat = MeetHeat(number, payload["stage"], cars, match, payload.get("race", 0))
        state.heats[number] = heat
        state.plan = [planned for planned in state.plan if planned.number != number]
    heat.started_at_s = event.at_s


def _false_start(state: MeetState, event: Event) -> None:
    state.heats[event.payload["heat"]].false_starts += 1


def _times(state: MeetState, event: Event) -> None:
    heat = state.heats[event.payload["heat"]]
    for one in event.payload["rows"]:
        row = Row(
            one["car"], one["lane"], one.get("time_s"), one.get("place"), one["note"], event.seq
        )
        heat.rows[row.lane] = row


def _corrected(state: MeetState, event: Event) -> None:
    payload = event.payload
    row = state.heats[payload["heat"]].rows[payload["lane"]]
    row.edits.append((row.told(), payload["reason"]))
    row.time_s, row.place = payload.get("time_s"), payload.get("place")
    row.note = payload["note"]


def _rerun(state: MeetState, event: Event) -> None:
    heat = state.heats[event.payload["heat"]]
    heat.void.append((heat.rows, event.payload["reason"]))
    heat.rows = {}
    heat.started_at_s = None


def _protest(state: MeetState, event: Event) -> None:
    payload = event.payload
    state.protests.append(
        Protest(
            event.seq,
            event.at_s,
            payload["car"],
            payload["heat"],
            payload["by"],
            payload["text"],
        )
    )


def _ruling(state: MeetState, event: Event) -> None:
    for protest in state.protests:
        if protest.seq == event.payload["protest"]:
            protest.ruling = event.payload["text"]


def _scrutiny(state: MeetState, event: Event) -> None:
    payload = event.payload
    state.entries[payload["car"]].sheets.append(
        Sheet(
            event.seq,
            event.at_s,
            payload["signed_by"],
            Verdict(payload["verdict"]),
            tuple(payload["reasons"]),
            dict(payload["readings"]),
            dict(payload["answers"]),
            payload.get("photo_sha256", ""),
        )
    )


def _received(state: MeetState, event: Event) -> None:
    entry = state.entries[event.payload["car"]]
    entry.posted = entry.received = True
    entry.sent_back = False


def _sent_back(state: MeetState, event: Event) -> None:
    state.entries[event.payload["car"]].sent_back = True


def _closed(state: MeetState, _event: Event) -> None:
    state.closed = True


def _reopened(state: MeetState, _event: Event) -> None:
    state.closed = False


_APPLY: Final[dict[EventKind, Callable[[MeetState, Event], None]]] = {
    EventKind.SETTINGS: _settings,
    EventKind.ENTERED: _entered,
    EventKind.WITHDRAWN: _withdrawn,
    EventKind.RETURNED: _returned,
    EventKind.ABSENT: _absent,
    EventKind.PRESENT: _present,
    EventKind.LANE_CLOSED: _lane_closed,
    EventKind.LANE_OPENED: _lane_opened,
    EventKind.DRAWN: _drawn,
    EventKind.STARTED: _started,
    EventKind.FALSE_START: _false_start,
    EventKind.TIMES: _times,
    EventKind.CORRECTED: _corrected,
    EventKind.RERUN: _rerun,
    EventKind.PROTEST: _protest,
    EventKind.RULING: _ruling,
    EventKind.SCRUTINY: _scrutiny,
    EventKind.RECEIVED: _received,
    EventKind.SENT_BACK: _sent_back,
    EventKind.CLOSED: _closed,
    EventKind.REOPENED: _reopened,
}
