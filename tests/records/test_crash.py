"""A process killed in the middle of writing loses nothing it had acknowledged."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from hillbench.records.bench_book import BenchBook
from hillbench.records.photo_files import photo_path
from hillbench.records.photo_store import list_checksums
from hillbench.usecases.find_photo_file import find_photo_file
from hillbench.usecases.list_bench import list_bench

SOURCE = Path(__file__).parents[2] / "src"
KILLS = 4

ROWS = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.save_car import save_car
book = BenchBook.open(Path(sys.argv[1]))
number = 0
while True:
    car = save_car(book, "Casting", f"{sys.argv[2]} {number}", "n" * 3000, datetime.now(UTC))
    print(car.id, flush=True)
    number += 1
"""

PHOTOS = """
import io, sys
from datetime import UTC, datetime
from pathlib import Path
from PIL import Image
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind
from hillbench.records.photo_store import Subject
from hillbench.usecases.add_photo import add_photo
from hillbench.usecases.save_car import save_car
book = BenchBook.open(Path(sys.argv[1]))
now = datetime.now(UTC)
car = save_car(book, "Casting", f"Car {sys.argv[2]}", "", now)
number = 0
while True:
    content = io.BytesIO()
    colour = (number % 256, int(sys.argv[2]), 7)
    Image.new("RGB", (400, 300), colour).save(content, "JPEG")
    print(add_photo(book, Subject(Kind.CAR, car.id), content.getvalue(), now).sha256, flush=True)
    number += 1
"""


def acknowledged_until_killed(code: str, folder: Path, delay_s: float, turn: int) -> list[str]:
    """Start a writer, kill it some time after its first acknowledgement, return what it said."""
    process = subprocess.Popen(
        [sys.executable, "-c", code, str(folder), str(turn)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(SOURCE)},
    )
    assert process.stdout is not None
    first = process.stdout.readline()
    time.sleep(delay_s)
    process.send_signal(signal.SIGKILL)
    rest, _ = process.communicate()
    lines = (first + rest).splitlines(keepends=True)
    return [line.strip() for line in lines if line.endswith("\n")]


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL")
def test_acknowledged_rows_are_there(tmp_path: Path) -> None:
    rng = random.Random(8)
    told: list[str] = []
    for turn in range(KILLS):
        told += acknowledged_until_killed(ROWS, tmp_path, rng.uniform(0.0, 0.15), turn)
        connection = sqlite3.connect(tmp_path / "bench.db")
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        connection.close()
    with BenchBook.open(tmp_path) as book:
        kept = {one.car.id for one in list_bench(book).cars}
    assert len(told) >= KILLS
    assert {int(line) for line in told} <= kept
    assert len(kept) <= len(told) + KILLS  # at most one a kill was kept but not yet told


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL")
def test_acknowledged_photos_are_there_with_their_files(tmp_path: Path) -> None:
    rng = random.Random(9)
    told: list[str] = []
    for turn in range(KILLS):
        told += acknowledged_until_killed(PHOTOS, tmp_path, rng.uniform(0.0, 0.15), turn)
    with BenchBook.open(tmp_path) as book:
        with book.read() as session:
            kept = list_checksums(session)
        assert len(told) >= KILLS
        assert set(told) <= set(kept)
        for sha256 in kept:  # no row is without its file
            assert find_photo_file(book, sha256, 320)[0].stat().st_size > 0
            assert photo_path(book.photo_folder, sha256).stat().st_size > 0
