from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from hillbench.coasting.track import SlopePoint, Track
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import add_car
from hillbench.records.casting_store import add_casting
from hillbench.records.entities import Kind, RunNote
from hillbench.records.run_store import add_run
from hillbench.records.track_store import TrackState
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.remove_thing import remove_thing
from hillbench.usecases.save_track import save_track
from tests.databases import ON_BOTH

pytestmark = ON_BOTH

NOW = datetime(2026, 3, 14, 18, 30, tzinfo=UTC)
STATE = TrackState(
    track=Track(6.0, slope_points=(SlopePoint(0.0, 10.0),)),
    rolling_resistance=0.008,
    wall_friction=0.2,
)


def test_times_are_the_least_and_the_middle_of_the_runs_that_finished(tmp_path: Path) -> None:
    with BenchBook.open(tmp_path) as book:
        track = save_track(book, "Fern Hill", "", STATE, NOW)
        quiet = save_track(book, "Attic", "", STATE, NOW)
        gone = save_track(book, "Cellar", "", STATE, NOW)
        remove_thing(book, Kind.TRACK, gone.id, NOW)
        with book.write() as session:
            casting = add_casting(session, "Coupe", "", NOW)
            car_id = add_car(session, casting.id, "Blue Finch", "", NOW).id
            for time_s in (8.4, 8.1, 8.2):
                add_run(session, track.version_id, track.id, car_id, time_s, RunNote.CLEAN, NOW)
            add_run(session, track.version_id, track.id, car_id, None, RunNote.OFF_TRACK, NOW)
        listed = {summary.record.name: summary for summary in list_tracks(book)}
    assert set(listed) == {"Fern Hill", "Attic"}
    fern = listed["Fern Hill"]
    assert (fern.runs, fern.best_time_s, fern.typical_time_s) == (3, 8.1, 8.2)
    attic = listed[quiet.name]
    assert (attic.runs, attic.best_time_s, attic.typical_time_s) == (0, None, None)
