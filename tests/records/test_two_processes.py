"""Two programs write to one bench book at once and both succeed."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from hillbench.records.bench_book import BenchBook
from hillbench.usecases.list_bench import list_bench

SOURCE = Path(__file__).parents[2] / "src"
EACH = 40

WRITER = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.save_car import save_car
from hillbench.usecases.weigh_car import weigh_car
with BenchBook.open(Path(sys.argv[1])) as book:
    for number in range(int(sys.argv[3])):
        now = datetime.now(UTC)
        car = save_car(book, "Shared casting", f"{sys.argv[2]} {number}", "", now)
        weigh_car(book, car.id, [37.0], 0.01, now)
"""


def test_both_succeed(tmp_path: Path) -> None:
    BenchBook.open(tmp_path).close()
    environment = {**os.environ, "PYTHONPATH": str(SOURCE)}
    started = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(tmp_path), name, str(EACH)],
            env=environment,
            stderr=subprocess.PIPE,
        )
        for name in ("left", "right")
    ]
    assert [process.communicate()[1].decode() for process in started] == ["", ""]
    with BenchBook.open(tmp_path) as book:
        cars = list_bench(book).cars
    assert len(cars) == 2 * EACH
    assert all(one.weighing is not None for one in cars)
    assert len({one.car.casting_id for one in cars}) == 1
