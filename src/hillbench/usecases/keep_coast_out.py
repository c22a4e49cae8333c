"""Keep a coast-out: how far a car coasted on the flat, or down a hill until it stood."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.records import bench_test_store, car_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import CoastOutRecord
from hillbench.records.names import clean_name, clean_note
from hillbench.records.quantities import check_range

MOST_DISTANCES: Final = 50
DISTANCE_RANGE_M: Final = (0.01, 1000.0, "m")
SPEED_RANGE_M_S: Final = (0.05, 50.0, "m/s")
LEVEL_RANGE_DEG: Final = (0.0, 10.0, "deg")
LONGEST_SURFACE: Final = 80


def keep_coast_out(
    book: BenchBook,
    car_id: int,
    distances_m: Sequence[float],
    now: datetime,
    *,
    surface: str = "",
    track_id: int | None = None,
    entry_speed_m_s: float | None = None,
    entry_speed_uncertainty_m_s: float | None = None,
    level_uncertainty_deg: float = 0.2,
    at: datetime | None = None,
    note: str = "",
) -> CoastOutRecord:
    """Keep how far a car coasted.

    Parameters
    ----------
    distances_m
        Each distance, m: from where the entry speed was taken to where the car stood, or, on a
        track without entry speed, from the start line to where its nose stood.
    surface
        Name of the flat surface where it is not a track of this bench.
    track_id
        The track, as it is now, on whose surface it coasted; None for another surface.
    entry_speed_m_s
        Speed at which it came onto the flat, m/s; None where it ran down the track.
    entry_speed_uncertainty_m_s
        Standard uncertainty of that speed, m/s; 5 % of it where None.
    level_uncertainty_deg
        Standard uncertainty of the slope of the flat, degrees.
    at
        When it was; `now` where None.

    Raises
    ------
    InvalidInput
        If something is out of range, or neither a track nor a surface with a speed is given.
    NotFound
        If there is no such car or track.
    """
    note = clean_note(note)
    problems = [
        *_place_problems(surface, track_id, entry_speed_m_s),
        *_problems(distances_m, entry_speed_m_s, entry_speed_uncertainty_m_s),
        *check_range("level_uncertainty_deg", level_uncertainty_deg, LEVEL_RANGE_DEG),
    ]
    if problems:
        raise InvalidInput(problems)
    with book.write() as session:
        car_store.touch_car(session, car_id, now)
        track = None if track_id is None else track_store.find_track(session, track_id)
        return bench_test_store.add_coast_out(
            session,
            CoastOutRecord(
                id=0,
                car_id=car_id,
                at=at or now,
                surface="" if track else clean_name(surface, "surface"),
                track_version_id=track.version_id if track else None,
                track_id=track_id,
                distances_m=tuple(distances_m),
                entry_speed_m_s=entry_speed_m_s,
                entry_speed_uncertainty_m_s=entry_speed_uncertainty_m_s,
                level_uncertainty_deg=level_uncertainty_deg,
                note=note,
            ),
        )


def _place_problems(
    surface: str, track_id: int | None, entry_speed_m_s: float | None
) -> Iterator[Problem]:
    if track_id is not None:
        return
    if not surface.strip():
        remedy = "say what it coasted on, or choose a track"
        yield Problem("surface", "empty", f"1 to {LONGEST_SURFACE} characters", remedy)
    elif len(surface.strip()) > LONGEST_SURFACE:
        seen = f"{len(surface.strip())} characters long"
        yield Problem("surface", seen, f"1 to {LONGEST_SURFACE} characters", "shorten it")
    if entry_speed_m_s is None:
        remedy = "take it with two gates, or let the car run down a track of this bench"
        yield Problem("entry_speed_m_s", "empty", "a speed, for a surface that is no track", remedy)


def _problems(
    distances_m: Sequence[float],
    entry_speed_m_s: float | None,
    entry_speed_uncertainty_m_s: float | None,
) -> Iterator[Problem]:
    if not 1 <= len(distances_m) <= MOST_DISTANCES:
        seen = f"a list of {len(distances_m)}" if distances_m else "empty"
        remedy = "keep them as several tests" if distances_m else "type how far it coasted"
        yield Problem("distances_m", seen, f"1 to {MOST_DISTANCES} distances", remedy)
    for value in distances_m[:MOST_DISTANCES]:
        yield from check_range("distances_m", value, DISTANCE_RANGE_M)
    if entry_speed_m_s is not None:
        yield from check_range("entry_speed_m_s", entry_speed_m_s, SPEED_RANGE_M_S)
    if entry_speed_uncertainty_m_s is not None:
        most = entry_speed_m_s or SPEED_RANGE_M_S[1]
        allowed = (0.0, most, "m/s")
        yield from check_range("entry_speed_uncertainty_m_s", entry_speed_uncertainty_m_s, allowed)
