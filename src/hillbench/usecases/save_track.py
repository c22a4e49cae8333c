"""Keep a track, new or changed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from hillbench.coasting.losses import LOSS_RANGES
from hillbench.coasting.track import check_track
from hillbench.errors import InvalidInput, Problem
from hillbench.records import track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TrackRecord
from hillbench.records.names import clean_name, clean_note
from hillbench.records.quantities import check_range
from hillbench.records.track_store import TrackState

PLACE_RANGES: Final = {
    "latitude_deg": (-90.0, 90.0, "deg"),
    "altitude_m": (-500.0, 9000.0, "m"),
    "temperature_c": (-40.0, 60.0, "°C"),
}
"""Least and most of what is known about the place of a track, with units."""


def save_track(
    book: BenchBook,
    name: str,
    note: str,
    state: TrackState,
    now: datetime,
    *,
    track_id: int | None = None,
) -> TrackRecord:
    """Add a track, or change the one with number `track_id`.

    A change of anything that a run depends on makes a new version; older versions stay.

    Raises
    ------
    InvalidInput
        If the name is taken or will not do, or the track could not be run.
    NotFound
        If there is no track to change.
    """
    name, note = clean_name(name), clean_note(note)
    problems = tuple(check_state(state))
    if problems:
        raise InvalidInput(problems)
    with book.write() as session:
        if track_id is None:
            return track_store.add_track(session, name, note, state, now)
        return track_store.change_track(session, track_id, name, note, state, now)


def check_state(state: TrackState) -> Iterator[Problem]:
    """Return every problem that keeps a track from being kept."""
    yield from check_track(state.track)
    for loss in ("rolling_resistance", "wall_friction"):
        yield from check_range(loss, getattr(state, loss), LOSS_RANGES[loss])
    for field, allowed in PLACE_RANGES.items():
        value = getattr(state, field)
        if value is not None:
            yield from check_range(field, value, allowed)
