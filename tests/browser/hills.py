"""A winding track and a car for the pages of hills."""

from __future__ import annotations

from datetime import UTC, datetime

from hillbench.coasting.track import Bend, SlopePoint, Track
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import add_car
from hillbench.records.casting_store import add_casting
from hillbench.records.entities import RunNote
from hillbench.records.run_store import add_run
from hillbench.records.track_store import TrackState
from hillbench.usecases.save_track import save_track

NOW = datetime(2026, 3, 14, 18, 30, tzinfo=UTC)
WINDING = Track(
    finish_at_m=18.5,
    slope_points=(
        *(SlopePoint(0.0, 22.0), SlopePoint(1.2, 22.0), SlopePoint(2.2, 4.0)),
        *(SlopePoint(9.0, 4.0), SlopePoint(9.5, 6.0), SlopePoint(11.5, 3.0)),
    ),
    bends=tuple(
        Bend(low, low + 0.8, 90.0 if index % 2 else -90.0, 5.0 * (index % 3))
        for index, low in enumerate((3.0, 4.4, 6.0, 8.0, 9.6, 11.6, 13.4, 16.0))
    ),
    gates_at_m=(3.0, 6.0, 9.0, 12.0, 15.0),
)


def fill_hills(book: BenchBook, runs: int = 3) -> None:
    """Put one winding track, one car and some timed runs into an empty bench book."""
    state = TrackState(track=WINDING, rolling_resistance=0.008, wall_friction=0.2)
    track = save_track(book, "Fern Hill, the long way", "", state, NOW)
    with book.write() as session:
        casting = add_casting(session, "Coupe", "", NOW)
        car = add_car(session, casting.id, "Blue Finch", "", NOW)
        for number in range(runs):
            time_s = 12.3 + 0.01 * (number % 7)
            add_run(session, track.version_id, track.id, car.id, time_s, RunNote.CLEAN, NOW)
