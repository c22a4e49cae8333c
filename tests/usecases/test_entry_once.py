"""Entries arrive once and in order: sent again, from two devices, after the server was killed."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from hillbench.usecases.enter_run import enter_run
from tests.usecases.outings import NOW, clock

SOURCE = Path(__file__).parents[2] / "src"
ENTRIES, KILLS, EACH = 40, 4, 30

SERVER = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.enter_run import enter_run
folder, outing_id, car_id, device, count = sys.argv[1:]
with BenchBook.open(Path(folder)) as book:
    for number in range(int(count)):
        run = enter_run(
            book, int(outing_id), int(car_id), round(10.0 + 0.001 * number, 3), "clean",
            datetime.now(UTC), entry_key=f"{device}-{number}",
        )
        print(number, run.id, flush=True)
"""


def server(
    folder: Path, outing_id: int, car_id: int, device: str, count: int
) -> subprocess.Popen[str]:
    words = [str(folder), str(outing_id), str(car_id), device, str(count)]
    return subprocess.Popen(
        [sys.executable, "-c", SERVER, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(SOURCE)},
    )


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL")
def test_queue_sent_again_after_each_kill_arrives_once_in_order(tmp_path: Path) -> None:
    rng = random.Random(11)
    with clock(tmp_path) as made:
        told: dict[int, int] = {}
        for _ in range(KILLS):
            process = server(tmp_path, made.outing_id, made.car_ids[0], "phone", ENTRIES)
            assert process.stdout is not None
            first = process.stdout.readline()
            time.sleep(rng.uniform(0.0, 0.1))
            process.send_signal(signal.SIGKILL)
            rest, _ = process.communicate()
            # What stands behind the last line break was cut off by the kill: not told in full.
            whole, _, _ = (first + rest).rpartition("\n")
            for line in whole.splitlines():
                number, run_id = line.split()
                assert told.setdefault(int(number), int(run_id)) == int(run_id)
        last = server(tmp_path, made.outing_id, made.car_ids[0], "phone", ENTRIES)
        assert last.communicate()[1] == ""
        runs = [one.run for one in made.view().runs]
    assert [run.finish_time_s for run in runs] == [
        round(10.0 + 0.001 * n, 3) for n in range(ENTRIES)
    ]
    assert [run.number for run in runs] == list(range(1, ENTRIES + 1))
    assert all(runs[number].id == run_id for number, run_id in told.items())


def test_two_processes_enter_at_once(tmp_path: Path) -> None:
    with clock(tmp_path) as made:
        both = [
            server(tmp_path, made.outing_id, car_id, f"phone {car_id}", EACH)
            for car_id in made.car_ids
        ]
        assert [process.communicate()[1] for process in both] == ["", ""]
        runs = [one.run for one in made.view().runs]
    assert [run.number for run in runs] == list(range(1, 2 * EACH + 1))
    for car_id in made.car_ids:  # each device's entries stand in its own order
        own = [run.entry_key for run in runs if run.car_id == car_id]
        assert own == [f"phone {car_id}-{number}" for number in range(EACH)]


def test_two_processes_send_the_same_queue(tmp_path: Path) -> None:
    with clock(tmp_path) as made:
        both = [server(tmp_path, made.outing_id, made.car_ids[0], "tab", EACH) for _ in range(2)]
        said = [process.communicate() for process in both]
        runs = [one.run for one in made.view().runs]
    assert [error for _, error in said] == ["", ""]
    assert said[0][0] == said[1][0]  # the same runs told to both
    assert [run.entry_key for run in runs] == [f"tab-{number}" for number in range(EACH)]


def test_answer_that_was_lost_is_given_again(tmp_path: Path) -> None:
    with clock(tmp_path) as made:
        sent = [
            enter_run(
                made.book, made.outing_id, made.car_ids[0], 10.0, "clean", NOW, entry_key=key
            ).id
            for key in ("a", "b", "a", "c", "b", "a")
        ]
        runs = [one.run for one in made.view().runs]
    assert [run.entry_key for run in runs] == ["a", "b", "c"]
    assert sent == [runs[place].id for place in (0, 1, 0, 2, 1, 0)]
