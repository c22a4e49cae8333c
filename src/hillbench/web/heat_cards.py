"""Heats as they are shown: who runs on which lane, and what was told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from hillbench.racing.climb import ladder_of
from hillbench.racing.counts import EMPTY, Heat
from hillbench.racing.ladder import Part
from hillbench.racing.meet_state import (
    STAGE_FINAL,
    STAGE_LADDER,
    MeetHeat,
    MeetState,
    Planned,
    Row,
)
from hillbench.usecases.read_meet import MeetView

_PARTS = {
    Part.UPPER: "round",
    Part.LOWER: "second chance, round",
    Part.FINAL: "final",
    Part.SECOND_FINAL: "deciding final",
}


@dataclass(frozen=True, slots=True)
class HeatLine:
    """One car of a heat.

    Attributes
    ----------
    lane, car, name
        Where it runs and what it is called.
    told
        What it did, in words; empty before.
    gone
        Whether it is absent or has withdrawn.
    edits
        What was told before, and why it was changed.
    note
        How it went; empty before.
    """

    lane: int
    car: int
    name: str
    told: str = ""
    gone: bool = False
    edits: tuple[tuple[str, str], ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class HeatCard:
    """A heat as it is shown.

    Attributes
    ----------
    number, title
        Its number, and what it is called.
    lanes
        Its cars by lane.
    named_lanes
        Whether the track has lanes.
    again
        Whether it is to be run again.
    running, done
        Whether it is on the track, and whether all was told.
    false_starts
        How often its start was called back.
    void
        Earlier runs of it that do not count, each with the reason.
    """

    number: int
    title: str
    lanes: tuple[HeatLine, ...]
    named_lanes: bool
    again: bool = False
    running: bool = False
    done: bool = False
    false_starts: int = 0
    void: tuple[tuple[str, tuple[HeatLine, ...]], ...] = ()


def planned_card(view: MeetView, planned: Planned) -> HeatCard:
    """Return a heat to come as it is shown."""
    state = view.state
    lines = _lines(view, planned.cars, {})
    title = _title(state, planned.number, planned.stage, planned.match, planned.race)
    return HeatCard(
        planned.number, title, lines, not state.settings.open_track, again=planned.again
    )


def heat_card(view: MeetView, heat: MeetHeat) -> HeatCard:
    """Return a heat that was started as it is shown."""
    state = view.state
    void = tuple((reason, _lines(view, heat.cars, rows)) for rows, reason in heat.void)
    return HeatCard(
        heat.number,
        _title(state, heat.number, heat.stage, heat.match, heat.race),
        _lines(view, heat.cars, heat.rows),
        not state.settings.open_track,
        again=heat.started_at_s is None,
        running=heat.running,
        done=heat.done,
        false_starts=heat.false_starts,
        void=void,
    )


def _lines(view: MeetView, cars: Heat, rows: Mapping[int, Row]) -> tuple[HeatLine, ...]:
    found = []
    for lane, car in enumerate(cars, start=1):
        if car == EMPTY:
            continue
        entry, row = view.state.entries[car], rows.get(lane)
        gone = entry.absent or entry.withdrawn
        if row is None:
            found.append(HeatLine(lane, car, entry.name, gone=gone))
        else:
            edits = tuple(row.edits)
            found.append(HeatLine(lane, car, entry.name, row.told(), gone, edits, row.note))
    return tuple(found)


def _title(state: MeetState, number: int, stage: str, match: int | None, race: int) -> str:
    if stage == STAGE_FINAL:
        return f"Final, heat {number}"
    ladder = ladder_of(state)
    if stage != STAGE_LADDER or ladder is None or match is None:
        return f"Heat {number}"
    place = ladder.matches[match]
    part = _PARTS[place.part]
    if place.part is Part.UPPER and ladder.lives == 1 and match == len(ladder.matches) - 1:
        part = "final"
    told = part if part.endswith("final") else f"{part} {place.step}"
    return f"Heat {number}, {told}" + (f", race {race + 1}" if race else "")
