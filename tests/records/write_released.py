"""Write the database that is kept for the newest schema: once, when it is released.

Run with ``python -m tests.records.write_released`` from the root.
"""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

from hillbench.building.caution import Caution
from hillbench.building.step import Draw, MassChange, Step, StepKind
from hillbench.coasting.track import Bend, SlopePoint, Track
from hillbench.racing.class_rules import ClassRules, Limit
from hillbench.racing.format import Format
from hillbench.racing.meet_state import MeetSettings
from hillbench.racing.officiate import Told
from hillbench.racing.season import SeasonRule
from hillbench.records import build_store, build_template_store, drawer_store
from hillbench.records.bench_book import DATABASE_NAME, BenchBook
from hillbench.records.bench_test_entities import (
    CoastOutRecord,
    FloorRoll,
    RollTestRecord,
    RubAnswer,
    RubCheckRecord,
    SpinDownTest,
    SpinTimedBy,
    Travel,
    Way,
    Wheel,
)
from hillbench.records.bench_test_store import (
    add_coast_out,
    add_roll_test,
    add_rub_check,
    add_spin_down,
)
from hillbench.records.drawer_entities import ItemEntry, ItemKind, StockUnit
from hillbench.records.entities import Kind
from hillbench.records.forecast_entities import ForecastRecord
from hillbench.records.forecast_store import add_forecast
from hillbench.records.outing_entities import Conditions
from hillbench.records.role import Role
from hillbench.records.schema import SCHEMAS
from hillbench.records.track_store import TrackState, list_track_versions
from hillbench.timing.line_rule import Field, mark_text
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.draw_meet import draw_meet
from hillbench.usecases.enter_cars import NewEntry, enter_cars
from hillbench.usecases.enter_run import edit_run, enter_run
from hillbench.usecases.invite import invite
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.note_run import note_run
from hillbench.usecases.remove_thing import remove_thing
from hillbench.usecases.run_heat import enter_heat
from hillbench.usecases.save_car import save_car
from hillbench.usecases.save_meet import save_class, save_meet, save_season
from hillbench.usecases.save_track import save_track
from hillbench.usecases.scrutinise import Checked, scrutinise
from hillbench.usecases.take_line import learn_rule
from hillbench.usecases.weigh_car import weigh_car
from hillbench.usecases.write_journal import Writer

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
TRACK = Track(9.0, (SlopePoint(0.0, 12.0), SlopePoint(2.0, 4.0)), bends=(Bend(3.0, 3.8, 90.0),))


def fill(book: BenchBook) -> None:
    """Put a few invented things in."""
    car = save_car(book, "Straßenzug", "<b>Zug</b> 車", 'it\'s 100 % "new"\nline 2', NOW)
    weigh_car(book, car.id, [37.21, 37.24], 0.01, NOW)
    measure_car(book, car.id, {"wheelbase_mm": 42.5, "wheel_count": 4}, NOW)
    track = save_track(book, "Ōkubo-Hang", "", TrackState(TRACK, 0.01, 0.2), NOW)
    note_run(book, track.id, car.id, 9.871, "clean", NOW)
    state = TrackState(TRACK, 0.01, 0.25, 48.0, 300.0, 19.5)
    save_track(book, "Ōkubo-Hang", "walls worn", state, NOW, track_id=track.id)
    note_run(book, track.id, car.id, None, "off track", NOW + timedelta(minutes=2))
    save_car(book, "straßenzug", "Grün ☂ 2", "", NOW + timedelta(minutes=3))
    _run_outing(book, track.id)
    gone = save_car(book, "Straßenzug", "Gone", "", NOW)
    remove_thing(book, Kind.CAR, gone.id, NOW)
    item_id = _fill_drawer(book)
    _fill_build(book, car.id, item_id)
    _fill_bench_tests(book)
    _fill_meet(book, car.id, track.id)
    with book.write() as session:
        version_id = list_track_versions(session, track.id)[-1].version_id
        add_forecast(session, forecast(car.id, track.id, version_id))


def _fill_drawer(book: BenchBook) -> int:
    piece = ItemEntry(
        ItemKind.BALLAST_PIECE, "½ oz “Blei” 鉛", "", StockUnit.PIECE, Decimal("0.35"), "shed", 2,
        {"name": "½ oz “Blei” 鉛", "mass_g": 14.175, "size_mm": [20.0, 12.0, 5.2]},
    )  # fmt: skip
    with book.write() as session:
        item = drawer_store.add_item(session, piece, NOW)
        drawer_store.buy(session, item.id, 6, NOW, unit_price=Decimal("0.40"))
        drawer_store.draw(session, item.id, 2, NOW + timedelta(minutes=1))
        return item.id


def _fill_build(book: BenchBook, car_id: int, item_id: int) -> None:
    change = MassChange("½ oz “Blei” 鉛", 14.175, 0.02, 2)
    steps = (
        Step("weigh", StepKind.WEIGH, "Weigh <it>", weighs=True),
        Step(
            "fit", StepKind.FIT, "Fit “Blei”", "under the roof", "tape", "½ oz", 2.5, 8.0, 30.0,
            "the glue", ("weigh",), (Caution.LEAD,), (change,), (Draw(item_id, 2),),
        ),
    )  # fmt: skip
    with book.write() as session:
        name, entered = "Zweiter Umbau ☂", {"limit_g": 57.0}
        build = build_store.add_build(session, car_id, name, steps, NOW, entered)
        first, second = build_store.list_steps(session, build.id)
        done = {"done_at": NOW, "readings_g": [37.21], "scale_resolution_g": 0.01}
        build_store.change_step(session, first.id, done)
        build_store.change_step(session, second.id, {"draft": {"note": "half done"}})
        drawer_store.draw(session, item_id, 2, NOW, build_step_id=second.id)
        build_template_store.add_template(session, "Usual", "", steps, NOW)


def _fill_meet(book: BenchBook, car_id: int, track_id: int) -> None:
    """Add a class, a season, a meet with a heat run, and an invitation."""
    writer = Writer("Ilse ☂, clock", NOW, entry_key="phone-7")
    rules = ClassRules((Limit("mass_g", most=60.0),), ("“Trocken”?",))
    race_class = save_class(book, "Sechzig ☂", "", rules, NOW, from_on=NOW.date())
    season = save_season(book, "Laternen", "", SeasonRule(drop=1), NOW)
    meet = save_meet(
        book, "Frühjahr", "", NOW.date(), NOW, track_id=track_id, race_class_id=race_class.id,
        season_id=season.id, settings=MeetSettings(Format.TIMED_HEATS, lanes=2),
    )  # fmt: skip
    cars = [NewEntry("<b>Zug</b> 車", "Ōno", car_id), NewEntry("Gast"), NewEntry("Nebel")]
    enter_cars(book, meet.id, writer, cars, 1)
    scrutinise(book, meet.id, Writer("Bo", NOW), 1, Checked({"mass_g": [59.0]}, {}, "Bo"))
    draw_meet(book, meet.id, Writer("Bo", NOW), 1)
    enter_heat(book, meet.id, Writer("Ilse", NOW), 1, [Told(1, 9.8), Told(2, note="no finish")])
    invite(book, Role.CLOCK, "Ilse", NOW, meet_id=meet.id)


def _fill_bench_tests(book: BenchBook) -> None:
    hand, film = SpinTimedBy.HAND, SpinTimedBy.FILM
    with book.write() as session:
        add_spin_down(session, SpinDownTest(
            0, 1, NOW, Wheel.FRONT_LEFT, "dry", 0, (4.1, 4.3), (), None, (), hand, "„roh“"
        ))  # fmt: skip
        add_spin_down(session, SpinDownTest(
            0, 1, NOW, Wheel.REAR_RIGHT, "graphite", 2, (7.9,), (11.5,), 0.4, (44.0,), film
        ))  # fmt: skip
        rolls = (FloorRoll(2.0, 31.0), FloorRoll(2.0, -28.0, Travel.TAIL_FIRST, Way.BACK))
        add_roll_test(session, RollTestRecord(0, 1, NOW, rolls, 2.0, 0.3, straightened=True))
        add_coast_out(session, CoastOutRecord(
            0, 1, NOW, "Küchenboden", None, None, (3.1, 3.3), 1.4, 0.05, 0.1
        ))  # fmt: skip
        add_rub_check(session, RubCheckRecord(0, 1, NOW, {"wheels": RubAnswer.RUBS}))


def forecast(car_id: int, track_id: int, version_id: int) -> ForecastRecord:
    """Return an invented forecast."""
    return ForecastRecord(
        id=0, track_version_id=version_id, track_id=track_id, car_id=car_id,
        made_at=NOW + timedelta(minutes=4), done_at=NOW + timedelta(minutes=5),
        change_name="add 10 g “für ☂”", change={"name": "add 10 g", "mass_g": 47.2},
        verdict="unsure", time_s=9.8, gain_s=0.05, gain_low_s=-0.01, gain_high_s=0.12,
        target_time_s=9.7, probability_target=0.25,
    )  # fmt: skip


def _run_outing(book: BenchBook, track_id: int) -> None:
    """Add what came with schema 0002."""
    day = Conditions(21.5, 40.0, surface_cleaned=True, lubricant_note="graphite")
    outing = begin_outing(book, track_id, [2], 2, NOW, conditions=day, matters_s=0.02)
    later = NOW + timedelta(minutes=4)
    enter_run(book, outing.id, 2, 9.71, "clean", later, entry_key="phone-1", time_source="phone")
    second = enter_run(book, outing.id, 2, 9.99, "clean", later)
    edit_run(book, second.id, 2, 9.69, "snag", later, lane="2")
    learn_rule(book, "shed", ["L1 9.71"], [mark_text("L1 9.71", Field.TIME, "9.71")], NOW)


def main() -> None:
    """Write it, unless it was released already."""
    target = Path(__file__).parent / "released" / f"{SCHEMAS[-1]}.db"
    if target.exists():
        raise SystemExit(f"{target} was released and stays as it is.")
    with tempfile.TemporaryDirectory() as folder:
        with BenchBook.open(Path(folder)) as book:
            fill(book)
        connection = sqlite3.connect(Path(folder) / DATABASE_NAME)
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.execute("PRAGMA journal_mode = DELETE")
        connection.close()
        target.parent.mkdir(exist_ok=True)
        shutil.copy(Path(folder) / DATABASE_NAME, target)


if __name__ == "__main__":
    main()
