"""Keep the inside of a casting, measured once for every sample of it."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from hillbench.ballast.measured_cavity import (
    BODY_STYLES,
    MeasuredCavity,
    cavity_of,
    require_measured,
)
from hillbench.ballast.room import Room, map_room
from hillbench.errors import InvalidInput, Problem
from hillbench.records.bench_book import BenchBook
from hillbench.records.casting_store import find_casting
from hillbench.records.cavity_store import (
    CavityRecord,
    add_cavity,
    latest_cavity,
    list_cavities,
)
from hillbench.records.entities import CastingRecord
from hillbench.records.names import clean_note
from hillbench.usecases.question import read_question, write_question

GRID_MM: Final = 0.5
"""Step of the grid on which room is measured, mm."""


@dataclass(frozen=True, slots=True)
class KeptCavity:
    """A casting with its inside.

    Attributes
    ----------
    casting
        The casting.
    record
        The cavity that counts; None where none was measured.
    measured
        The same in readings; None where none was measured.
    earlier
        How many were measured before it.
    """

    casting: CastingRecord
    record: CavityRecord | None
    measured: MeasuredCavity | None
    earlier: int


def find_kept_cavity(book: BenchBook, casting_id: int) -> KeptCavity:
    """Return a casting with its inside.

    Raises
    ------
    NotFound
        If there is no such casting.
    """
    with book.read() as session:
        casting = find_casting(session, casting_id)
        known = list_cavities(session, casting_id)
        latest = latest_cavity(session, casting_id)
    measured = None if latest is None else measured_of(latest)
    return KeptCavity(casting, latest, measured, max(len(known) - 1, 0))


def measured_of(record: CavityRecord) -> MeasuredCavity:
    """Return the readings of a kept cavity."""
    return read_question(json.dumps(record.measured), MeasuredCavity)


def keep_cavity(
    book: BenchBook, casting_id: int, measured: MeasuredCavity, now: datetime, *, note: str = ""
) -> CavityRecord:
    """Keep what was measured; from now on it is the inside of the casting.

    Raises
    ------
    InvalidInput
        With everything that cannot be, or where no room is left at all.
    NotFound
        If there is no such casting.
    """
    require_room(measured)
    note = clean_note(note)
    with book.write() as session:
        casting = find_casting(session, casting_id)
        stored = write_question(measured)
        return add_cavity(session, casting, measured.body_style, stored, note, now)


def require_room(measured: MeasuredCavity) -> Room:
    """Return the room in a cavity, or raise `InvalidInput` with why there is none."""
    if measured.body_style not in BODY_STYLES:
        allowed = ", ".join(BODY_STYLES)
        raise InvalidInput([Problem("body_style", repr(measured.body_style), allowed)])
    cavity = cavity_of(require_measured(measured))
    room = map_room(cavity, GRID_MM)
    if room.volume_cm3 > 0.0:
        return room
    bare = map_room(replace(cavity, keep_outs=()), GRID_MM)
    if bare.volume_cm3 > 0.0:
        remedy = "make them smaller or their clearance less"
        raise InvalidInput(
            [Problem("keep_outs", "all of the inside", "less than all of it", remedy)]
        )
    remedy = "measure again, or take less clearance"
    seen = "no room at all between floor, body and walls"
    raise InvalidInput([Problem("roof_mm", seen, "an inside with some volume", remedy)])
