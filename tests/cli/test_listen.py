"""`hillbench listen` over a pseudo-terminal: garbage, half lines, the plug pulled and put back."""

from __future__ import annotations

import json
import os
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO

import pytest

from hillbench.cli.main import main
from hillbench.records.bench_book import BenchBook
from tests.usecases.outings import clock

pytestmark = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals")

SOURCE = Path(__file__).parents[2] / "src"
WAIT_S = 60.0


class Timer:
    """A timer at the other end of a pseudo-terminal, named by a link that can be re-plugged."""

    def __init__(self, folder: Path) -> None:
        self.port = folder / "timer"
        self._ends: tuple[int, int] | None = None
        self.plug_in()

    def plug_in(self) -> None:
        self._ends = os.openpty()
        self.port.unlink(missing_ok=True)
        self.port.symlink_to(os.ttyname(self._ends[1]))

    def pull(self) -> None:
        if self._ends is not None:
            self.port.unlink()
            for end in self._ends:
                os.close(end)
            self._ends = None

    def send(self, data: bytes) -> None:
        assert self._ends is not None
        os.write(self._ends[0], data)


class Listening:
    """A running `hillbench listen`."""

    def __init__(self, timer: Timer, folder: Path, *words: str) -> None:
        self.process = subprocess.Popen(
            [
                *(sys.executable, "-u", "-m", "hillbench", "--data", str(folder)),
                *("listen", str(timer.port), *words),
            ],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(SOURCE)},
        )

        self._threads: list[threading.Thread] = []
        self._said: queue.Queue[str] = queue.Queue()
        self._printed: queue.Queue[str] = queue.Queue()
        for stream, lines in (
            (self.process.stderr, self._said),
            (self.process.stdout, self._printed),
        ):
            thread = threading.Thread(target=_gather, args=(stream, lines), daemon=True)
            thread.start()
            self._threads.append(thread)

    def end(self) -> None:
        """Stop it, if it has not ended by itself."""
        self.process.kill()
        self.process.wait()
        for thread in self._threads:
            thread.join()

    def said(self, wanted: str) -> str:
        """Return the next line on standard error that holds a word."""
        while True:
            line = self._said.get(timeout=WAIT_S)
            if wanted in line:
                return line

    def printed(self) -> str:
        """Return the next line on standard output."""
        return self._printed.get(timeout=WAIT_S)

    def wait_until_open(self, timer: Timer) -> None:
        """Send a line that is no time until it is heard, so that nothing later is missed."""
        for _ in range(int(WAIT_S / 0.2)):
            timer.send(b"hello\n")
            try:
                assert "hello" in self._said.get(timeout=0.2)
            except queue.Empty:
                continue
            return
        raise AssertionError("the port was never opened")


def _gather(stream: IO[str], lines: queue.Queue[str]) -> None:
    with stream:
        for line in stream:
            lines.put(line.rstrip("\n"))


@pytest.fixture
def timer(tmp_path: Path) -> Iterator[Timer]:
    """A timer that is plugged in."""
    plugged = Timer(tmp_path)
    yield plugged
    plugged.pull()


@pytest.fixture
def listening(timer: Timer, tmp_path: Path) -> Iterator[Listening]:
    """A command that listens for four times in lines such as ``Q 10.412 @7``."""
    words = ("--learn", "Q 10.412 @7", "--time", "10.412", "--lane", "7", "--json", "--runs", "4")
    started = Listening(timer, tmp_path / "data", *words)
    yield started
    started.end()


def test_garbage_half_lines_and_the_plug(timer: Timer, listening: Listening) -> None:
    listening.wait_until_open(timer)
    timer.send(b"\x00\xff\xfe garbage\n")
    timer.send(b"Q 10.")
    time.sleep(0.3)
    timer.send(b"50 @1\r\n")
    assert json.loads(listening.printed()) == {
        "time_s": 10.50,
        "lane": "1",
        "place": None,
        "gate_times_s": [],
    }
    assert "garbage" in listening.said("garbage")
    timer.send(b"Q 10.61 @2\nQ 10.61 @2\n")  # sent twice, counted once
    assert json.loads(listening.printed())["time_s"] == 10.61
    timer.send(b"Q 9.")
    time.sleep(0.5)
    timer.pull()
    assert "is gone" in listening.said("is gone")
    timer.plug_in()
    assert "is back" in listening.said("is back")
    timer.send(b"99 @1\nQ 10.72 @1\n")  # the rest of the half line is no time
    assert json.loads(listening.printed())["time_s"] == 10.72
    timer.send(b"Q 99999.9 @1\nQ 0.000 @2\n")
    assert json.loads(listening.printed()) == {
        "time_s": None,
        "lane": "2",
        "place": None,
        "gate_times_s": [],
    }
    assert listening.process.wait(WAIT_S) == 0


def test_runs_are_entered_for_whose_turn_it_is(timer: Timer, tmp_path: Path) -> None:
    with clock(tmp_path / "data") as made:
        words = ("--outing", str(made.outing_id), "--runs", "4")
        listening = Listening(timer, tmp_path / "data", *words)
        listening.wait_until_open(timer)
        for time_s in (10.02, 10.11, 1.013, 10.13, 9.99):  # the third is a misfire
            timer.send(f"finish {time_s:.3f}\n".encode())
        assert listening.process.wait(WAIT_S) == 0
        listening.end()
        kept = [(one.label, one.run.finish_time_s) for one in made.view().runs]
    assert kept == [("Sorrel", 10.02), ("Bramble", 10.11), ("Bramble", 10.13), ("Sorrel", 9.99)]
    assert "finish 1.013" in listening.said("was 10.13 s meant?")


def test_port_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["--data", str(tmp_path / "data"), "listen", str(tmp_path / "nothing")])
    told = capsys.readouterr().err.splitlines()
    assert status == 2
    assert len(told) == 1
    assert "plug the timer in" in told[0]


def test_rule_that_nobody_learned(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["--data", str(tmp_path / "data"), "listen", "x", "--rule", "shed"])
    assert status == 1
    assert capsys.readouterr().err.startswith("There is no rule for a timer 'shed'")
    BenchBook.open(tmp_path / "data").close()
