"""Two server processes on one bench book: no entry of a meet is lost, doubled or out of order."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Final

import pytest

from hillbench.racing.meet_event import EventKind
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.read_meet import read_meet
from tests.databases import Server
from tests.usecases.meets import open_meet

ROOT: Final = Path(__file__).parents[2]
HEATS: Final = 6
OFFICIAL: Final = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from hillbench.racing.officiate import Told
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.run_heat import enter_heat, note_protest
from hillbench.usecases.write_journal import Writer

folder, address, name, heats = Path(sys.argv[1]), sys.argv[2], sys.argv[3], int(sys.argv[4])
book = BenchBook.open_on_server(folder, address) if address else BenchBook.open(folder)
now = datetime.now(UTC)
for heat in range(1, heats + 1):
    told = [Told(lane, 10.0 + heat / 100.0 + lane / 1000.0) for lane in (1, 2, 3)]
    enter_heat(book, 1, Writer(name, now, entry_key=f"heat-{heat}"), heat, told)
    own = Writer(name, now, entry_key=f"{name}-{heat}")
    note_protest(book, 1, own, heat, heat, f"{name} on heat {heat}")
"""
"""Enters every heat under the key that the other uses too, and a protest of its own to each."""


@pytest.mark.parametrize("place", ["file", "server"])
def test_two_officials_on_two_processes(
    place: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    address = ""
    if place == "server":
        running: Server = request.getfixturevalue("server")
        address = running.new_database()
    opened = BenchBook.open_on_server(tmp_path, address) if address else BenchBook.open(tmp_path)
    with opened as book:
        meet = open_meet(book, HEATS)
        officials = [_official(tmp_path, address, name) for name in ("Ada", "Bo")]
        assert [one.communicate(timeout=120)[1].decode() for one in officials] == ["", ""]
        view = read_meet(book, meet)
    told = [event.payload["heat"] for event in view.events if event.kind is EventKind.TIMES]
    assert told == list(range(1, HEATS + 1))
    protests = sorted(one.text for one in view.state.protests)
    assert protests == sorted(f"{name} on heat {heat}" for name in ("Ada", "Bo") for heat in told)
    assert [event.seq for event in view.events] == list(range(1, len(view.events) + 1))


def _official(folder: Path, address: str, name: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-c", OFFICIAL, str(folder), address, name, str(HEATS)],
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
        stderr=subprocess.PIPE,
    )
