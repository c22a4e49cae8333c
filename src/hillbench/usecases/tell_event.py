"""Lines of a meet's journal in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from hillbench.racing.meet_event import Event, EventKind

Names = Mapping[int, str]
"""Name of each car by its number."""


def tell_event(event: Event, names: Names) -> str:
    """Return one line of the journal as a sentence.

    Parameters
    ----------
    event
        The line.
    names
        Name of each car by its number.
    """
    return _TELL[event.kind](event.payload, names)


def tell_action(events: tuple[Event, ...], names: Names) -> str:
    """Return what was done in one go, in a few words; empty where nothing was.

    Parameters
    ----------
    events
        Its lines.
    names
        Name of each car by its number.
    """
    told = [tell_event(event, names) for event in events if event.kind is not EventKind.DRAWN]
    if not told and events:
        told = [tell_event(events[0], names)]
    return " ".join(told[-3:])


def _car(payload: Mapping[str, Any], names: Names) -> str:
    return names.get(payload["car"], f"Car {payload['car']}")


def _settings(payload: Mapping[str, Any], _names: Names) -> str:
    lanes = "no lanes" if payload["open_track"] else f"lanes: {payload['lanes']}"
    return f"To be run as {payload['format']}, {lanes}."


def _entered(payload: Mapping[str, Any], _names: Names) -> str:
    owner = f" of {payload['owner']}" if payload.get("owner") else ""
    return f"{payload['name']}{owner} is entered as number {payload['car']}."


def _drawn(payload: Mapping[str, Any], _names: Names) -> str:
    if "seeds" in payload:
        return f"The ladder is drawn for {len(payload['seeds'])} cars."
    return f"{len(payload['heats'])} heats are drawn ({payload['stage']})."


def _started(payload: Mapping[str, Any], _names: Names) -> str:
    return f"Heat {payload['heat']} is let go."


def _times(payload: Mapping[str, Any], names: Names) -> str:
    told = ", ".join(f"{_car(row, names)} {_row(row)}" for row in payload["rows"])
    return f"Heat {payload['heat']}: {told}."


def _row(row: Mapping[str, Any]) -> str:
    if row.get("time_s") is not None:
        return f"{row['time_s']:.3f} s" + (f" ({row['note']})" if row["note"] != "clean" else "")
    return f"place {row['place']}" if row.get("place") is not None else str(row["note"])


def _corrected(payload: Mapping[str, Any], _names: Names) -> str:
    where = f"Heat {payload['heat']}, lane {payload['lane']}"
    return f"{where}: corrected to {_row(payload)}, because: {payload['reason']}"


def _rerun(payload: Mapping[str, Any], _names: Names) -> str:
    return f"Heat {payload['heat']} is to be run again, because: {payload['reason']}"


def _protest(payload: Mapping[str, Any], names: Names) -> str:
    heat = f" in heat {payload['heat']}" if payload["heat"] else ""
    return f"Protest against {_car(payload, names)}{heat}: {payload['text']}"


def _scrutiny(payload: Mapping[str, Any], names: Names) -> str:
    why = f" {' '.join(payload['reasons'])}" if payload["verdict"] == "fail" else ""
    told = f"Scrutiny of {_car(payload, names)}: {payload['verdict']}"
    return f"{told}, signed by {payload['signed_by']}.{why}"


def _of_car(words: str) -> Callable[[Mapping[str, Any], Names], str]:
    return lambda payload, names: f"{_car(payload, names)} {words}."


_TELL: Final[Mapping[EventKind, Callable[[Mapping[str, Any], Names], str]]] = {
    EventKind.SETTINGS: _settings,
    EventKind.ENTERED: _entered,
    EventKind.WITHDRAWN: _of_car("is withdrawn"),
    EventKind.RETURNED: _of_car("is back in"),
    EventKind.ABSENT: _of_car("is absent"),
    EventKind.PRESENT: _of_car("is here again"),
    EventKind.LANE_CLOSED: lambda payload, _: f"Lane {payload['lane']} is out of order.",
    EventKind.LANE_OPENED: lambda payload, _: f"Lane {payload['lane']} is in use again.",
    EventKind.DRAWN: _drawn,
    EventKind.STARTED: _started,
    EventKind.FALSE_START: lambda payload, _: f"False start of heat {payload['heat']}.",
    EventKind.TIMES: _times,
    EventKind.CORRECTED: _corrected,
    EventKind.RERUN: _rerun,
    EventKind.PROTEST: _protest,
    EventKind.RULING: lambda payload, _: f"Ruling on the protest: {payload['text']}",
    EventKind.SCRUTINY: _scrutiny,
    EventKind.RECEIVED: _of_car("has come by post"),
    EventKind.SENT_BACK: _of_car("is sent back"),
    EventKind.CLOSED: lambda _, __: "The meet is over.",
    EventKind.REOPENED: lambda _, __: "The meet is open again.",
    EventKind.UNDONE: lambda payload, _: (
        f"Taken back: line {', '.join(map(str, payload['events']))}."
    ),
}
