"""Opening the bench book, and the one way to write to it."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import event, text

from hillbench.records.bench_book import DATABASE_NAME, BenchBook
from hillbench.records.casting_store import add_casting, list_castings
from hillbench.records.errors import (
    BenchBookError,
    BusyBenchBook,
    DamagedBenchBook,
    DiskFull,
    NewerBenchBook,
    NotABenchBook,
)

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
SOURCE = Path(__file__).parents[2] / "src"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A data folder with a bench book that holds one casting."""
    with BenchBook.open(tmp_path / "bench") as book, book.write() as session:
        add_casting(session, "Früh & Spät", "", NOW)
    return tmp_path / "bench"


def names(book: BenchBook) -> list[str]:
    with book.read() as session:
        return [casting.name for casting in list_castings(session)]


def test_connections_are_set_up_for_safety(folder: Path) -> None:
    with BenchBook.open(folder) as book, book.read() as session:
        asked = {
            name: session.execute(text(f"PRAGMA {name}")).scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
    # SQLite documentation, "PRAGMA Statements": synchronous 2 is FULL.
    assert asked == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 10_000,
    }


def test_write_begins_immediate_and_read_does_not(folder: Path) -> None:
    begun: list[str] = []
    with BenchBook.open(folder) as book:
        event.listen(
            book._engine,
            "before_cursor_execute",
            lambda _c, _cursor, statement, *_: begun.append(statement),
        )
        names(book)
        with book.write() as session:
            add_casting(session, "Second", "", NOW)
    assert [one for one in begun if one.startswith("BEGIN")] == [
        "BEGIN DEFERRED",
        "BEGIN IMMEDIATE",
    ]


def test_reader_sees_one_moment_while_another_writes(folder: Path) -> None:
    with BenchBook.open(folder) as book, book.read() as reading:
        before = list_castings(reading)
        with book.write() as writing:
            add_casting(writing, "Meanwhile", "", NOW)
        reading.expire_all()
        assert list_castings(reading) == before
    with BenchBook.open(folder) as book:
        assert names(book) == ["Früh & Spät", "Meanwhile"]


def write_castings(book: BenchBook, count: int, then_fail: bool = False) -> None:
    with book.write() as session:
        for number in range(count):
            add_casting(session, f"{number} " + "x" * 190, "n" * 2000, NOW)
        if then_fail:
            raise ZeroDivisionError


def test_write_that_fails_keeps_nothing(folder: Path) -> None:
    with BenchBook.open(folder) as book:
        with pytest.raises(ZeroDivisionError):
            write_castings(book, 3, then_fail=True)
        assert names(book) == ["Früh & Spät"]


def test_threads_write_one_after_another(folder: Path) -> None:
    with BenchBook.open(folder) as book:

        def write(number: int) -> None:
            for turn in range(5):
                with book.write() as session:
                    add_casting(session, f"thread {number}, turn {turn}", "", NOW)

        threads = [threading.Thread(target=write, args=(number,)) for number in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(names(book)) == 31


def test_data_folder_that_is_a_file(tmp_path: Path) -> None:
    path = tmp_path / "bench"
    path.write_text("not a folder")
    with pytest.raises(NotABenchBook, match=r"is a file, not a bench book.*choose a folder"):
        BenchBook.open(path)
    assert path.read_text() == "not a folder"


@pytest.mark.parametrize("content", [b"PK\x03\x04 not a database" * 100, b"\x00" * 4096])
def test_database_file_that_is_none(tmp_path: Path, content: bytes) -> None:
    (tmp_path / DATABASE_NAME).write_bytes(content)
    with pytest.raises(NotABenchBook, match="no database file"):
        BenchBook.open(tmp_path)
    assert (tmp_path / DATABASE_NAME).read_bytes() == content
    assert [path.name for path in tmp_path.iterdir()] == [DATABASE_NAME]


def test_database_of_another_program(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / DATABASE_NAME) as connection:
        connection.execute("CREATE TABLE recipe (name TEXT)")
    connection.close()
    before = (tmp_path / DATABASE_NAME).read_bytes()
    with pytest.raises(NotABenchBook, match="a database of another program"):
        BenchBook.open(tmp_path)
    assert (tmp_path / DATABASE_NAME).read_bytes() == before


def test_schema_newer_than_the_program(folder: Path) -> None:
    with sqlite3.connect(folder / DATABASE_NAME) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    before = (folder / DATABASE_NAME).read_bytes()
    with pytest.raises(NewerBenchBook, match=r"newer Hillbench \(schema '9999'\).*install"):
        BenchBook.open(folder)
    assert (folder / DATABASE_NAME).read_bytes() == before


def test_damaged_database_is_told(folder: Path) -> None:
    with sqlite3.connect(folder / DATABASE_NAME) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    path = folder / DATABASE_NAME
    content = path.read_bytes()
    path.write_bytes(content[:4096] + b"\xff" * (len(content) - 4096))
    with pytest.raises(DamagedBenchBook, match="put the last backup"):
        names(BenchBook.open(folder))


def test_disk_full_keeps_what_was_there(folder: Path) -> None:
    with BenchBook.open(folder) as book:

        @event.listens_for(book._engine, "begin")
        def leave_no_room(connection: object) -> None:  # SQLite then fails as on a full disk
            connection.exec_driver_sql("PRAGMA max_page_count = 1")  # type: ignore[attr-defined]

        with pytest.raises(DiskFull, match=r"Nothing was saved.*is full: free some room"):
            write_castings(book, 500)
    with BenchBook.open(folder) as book:
        assert names(book) == ["Früh & Spät"]
        with book.read() as session:
            assert session.execute(text("PRAGMA integrity_check")).scalar() == "ok"


def test_other_program_that_never_lets_go(folder: Path) -> None:
    with BenchBook.open(folder) as book:

        @event.listens_for(book._engine, "connect")
        def be_impatient(connection: sqlite3.Connection, _record: object) -> None:
            connection.execute("PRAGMA busy_timeout = 20")

        other = sqlite3.connect(folder / DATABASE_NAME, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BusyBenchBook, match="another program"):
            write_castings(book, 1)
        other.execute("ROLLBACK")
        other.close()
        with book.write() as session:
            add_casting(session, "After", "", NOW)


READ_ONLY_PROBE = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from hillbench.records.bench_book import BenchBook
from hillbench.records.casting_store import add_casting, list_castings
import os
import sqlalchemy.dialects.sqlite
if os.getuid() == 0:  # to whom nothing is forbidden
    os.setuid(65534)
with BenchBook.open(Path(sys.argv[1])) as book:
    with book.read() as session:
        print([casting.name for casting in list_castings(session)], book.read_only)
    try:
        with book.write() as session:
            add_casting(session, "x", "", datetime.now(UTC))
    except Exception as error:
        print(type(error).__name__, error)
"""


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that other users can get at, unlike the usual temporary ones."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name)
        path.chmod(0o755)
        yield path


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
@pytest.mark.parametrize("locked", ["file", "folder"])
def test_read_only_bench_book_can_be_read(open_folder: Path, locked: str) -> None:
    folder = open_folder / "bench"
    with BenchBook.open(folder) as book, book.write() as session:
        add_casting(session, "Kept", "", NOW)
    folder.chmod(0o777 if locked == "file" else 0o555)
    (folder / DATABASE_NAME).chmod(0o444)
    done = subprocess.run(
        [sys.executable, "-c", READ_ONLY_PROBE, str(folder)],
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": str(SOURCE), "PYTHONDONTWRITEBYTECODE": "1"},
        cwd="/",
    )
    folder.chmod(0o755)
    assert done.returncode == 0, done.stderr
    kept, refused = done.stdout.splitlines()
    assert kept == "['Kept'] True"
    assert refused.startswith("ReadOnlyBenchBook Nothing was saved, because")


def test_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(BenchBookError, match=r"cannot be used \(not a directory\): check the path"):
        BenchBook.open(tmp_path / "file" / "bench")


def test_opening_again_does_not_load_the_migrations(folder: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from hillbench.records.bench_book import BenchBook;"
        f"BenchBook.open(Path({str(folder)!r})).close(); print('alembic' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(SOURCE)},
    )
    assert done.stdout.strip() == "False"
