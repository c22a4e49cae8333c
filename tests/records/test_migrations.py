"""Every released schema opens, and the newest one is what the tables say."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from hillbench.records.bench_book import DATABASE_NAME, BenchBook
from hillbench.records.entities import Kind
from hillbench.records.schema import SCHEMAS
from hillbench.records.tables import Base
from hillbench.records.upgrade import migration_config
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.enter_run import edit_run, enter_run
from hillbench.usecases.invite import list_invitations
from hillbench.usecases.list_bench import list_bench
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.read_meet import read_meet
from hillbench.usecases.show_car import show_car
from hillbench.usecases.show_outing import show_outing
from hillbench.usecases.take_line import find_rule

RELEASED = Path(__file__).parent / "released"
SOURCE = Path(__file__).parents[2] / "src"


def test_migrated_database_is_what_the_tables_say(tmp_path: Path) -> None:
    with BenchBook.open(tmp_path) as book, book._engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_comparison_would_notice_a_difference(tmp_path: Path) -> None:
    with BenchBook.open(tmp_path) as book, book._engine.connect() as connection:
        connection.exec_driver_sql("ALTER TABLE car ADD COLUMN colour TEXT")
        connection.exec_driver_sql("DROP INDEX ix_reading_car_id_quantity_at")
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert len(compare_metadata(context, Base.metadata)) == 2


def test_known_schemas_are_those_of_the_migrations() -> None:
    scripts = ScriptDirectory.from_config(migration_config())
    revisions = [script.revision for script in scripts.walk_revisions()]
    assert tuple(reversed(revisions)) == SCHEMAS
    assert scripts.get_heads() == [SCHEMAS[-1]]


def test_one_database_is_kept_for_each_released_schema() -> None:
    assert sorted(path.stem for path in RELEASED.glob("*.db")) == sorted(SCHEMAS)


@pytest.mark.parametrize("schema", SCHEMAS)
def test_released_database_opens_with_everything_in_it(tmp_path: Path, schema: str) -> None:
    shutil.copy(RELEASED / f"{schema}.db", tmp_path / DATABASE_NAME)
    with BenchBook.open(tmp_path) as book:
        # What `write_released` put in.
        bench = list_bench(book)
        assert [one.car.name for one in bench.cars] == ["Grün ☂ 2", "<b>Zug</b> 車"]
        shown = show_car(book, bench.cars[1].car.id)
        assert shown.weighings[0].readings_g == (37.21, 37.24)
        assert shown.current["wheelbase_mm"].value == 42.5
        assert [run.finish_time_s for run in shown.runs] == [None, 9.871]
        track = list_tracks(book)[0].record
        assert (track.name, track.number, track.wall_friction) == ("Ōkubo-Hang", 2, 0.25)
        assert len(track.track.bends) == 1
        assert [thing.kind for thing in list_removed(book)] == [Kind.CAR]
        if schema >= "0002":
            require_outing(book)
        if schema >= "0004":
            require_meet(book)
    with sqlite3.connect(tmp_path / DATABASE_NAME) as connection:
        version = connection.execute("SELECT version_num FROM alembic_version").fetchall()
        problems = connection.execute("PRAGMA foreign_key_check").fetchall()
    connection.close()
    assert version == [(SCHEMAS[-1],)]
    assert problems == []


def require_outing(book: BenchBook) -> None:
    view = show_outing(book, 1, np.random.default_rng(1))
    assert (view.outing.matters_s, view.outing.conditions.temperature_c) == (0.02, 21.5)
    runs = [(one.run.finish_time_s, one.run.lane, one.run.time_source) for one in view.runs]
    assert runs == [(9.71, "1", "phone"), (9.69, "2", "typed")]
    assert view.runs[0].run.entry_key == "phone-1"
    assert [edit.finish_time_s for edit in view.runs[1].edits] == [9.99]
    assert find_rule(book, "shed").fields == ("time",)


def require_meet(book: BenchBook) -> None:
    view = read_meet(book, 1)
    assert (view.meet.name, view.track_name, view.race_class.name) == (  # type: ignore[union-attr]
        "Frühjahr",
        "Ōkubo-Hang",
        "Sechzig ☂",
    )
    assert view.state.entries[1].name == "<b>Zug</b> 車"
    heat = view.state.heats[1]
    assert [row.told() for row in heat.rows.values()] == ["9.800 s", "no finish"]
    assert view.state.entries[1].sheets[0].by == "Bo"
    assert [one.role for one in list_invitations(book, 1)] == ["clock"]


@pytest.mark.parametrize("schema", SCHEMAS)
def test_run_of_any_schema_can_be_taken_on(tmp_path: Path, schema: str) -> None:
    shutil.copy(RELEASED / f"{schema}.db", tmp_path / DATABASE_NAME)
    with BenchBook.open(tmp_path) as book:
        now = datetime(2026, 4, 1, tzinfo=UTC)
        outing = begin_outing(book, 1, [1, 2], 1, now)
        assert enter_run(book, outing.id, 1, 9.8, "clean", now).number == 1
        edit_run(book, 1, 1, 9.9, "clean", now)  # one from before there were outings
        assert show_car(book, 1).runs[-1].finish_time_s == 9.9


def test_two_processes_may_make_the_same_bench_book(tmp_path: Path) -> None:
    code = (
        "from pathlib import Path; from hillbench.records.bench_book import BenchBook;"
        f"BenchBook.open(Path({str(tmp_path)!r})).close()"
    )
    environment = {**os.environ, "PYTHONPATH": str(SOURCE)}
    started = [
        subprocess.Popen([sys.executable, "-c", code], env=environment, stderr=subprocess.PIPE)
        for _ in range(3)
    ]
    ends = [process.communicate()[1].decode() for process in started]
    assert ends == ["", "", ""]
    assert list_bench(BenchBook.open(tmp_path)).cars == ()
