"""A race day with 60 phones on the board and 4 officials writing, against a server process.

Run with ``PYTHONPATH=src python -m benchmarks.race_day [--minutes 3]`` at the root. Writes
docs/benchmarks-race-day.md: how long answers took in quiet, with one phone that asks as fast as
it can, and with the server killed 20 times; stops with an error if an acknowledged entry is
missing or doubled, or the meet does not go on in the same heat.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime
from multiprocessing import get_context
from pathlib import Path
from threading import Event, Thread
from typing import Final

from sqlalchemy import select

from benchmarks.race_page import Part, write_page
from benchmarks.race_phones import Device, Official, flood, watch_board
from hillbench.racing.format import Format
from hillbench.racing.meet_state import MeetSettings
from hillbench.racing.staging import upcoming
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_tables import MeetEventRow
from hillbench.records.role import Role
from hillbench.usecases.invite import invite
from hillbench.usecases.read_meet import read_meet
from tests.browser.program import Program
from tests.usecases.meets import open_meet

PHONES: Final = 60
CARS, LANES, ROUNDS = 60, 4, 3
EVERY_S: Final = 8.0
"""Each official writes so often: a heat every 8 s is some ten times the pace of a real meet."""

FLOOD_S: Final = 20.0


@dataclass
class Day:
    """The server, the meet and everybody's tokens."""

    folder: Path
    program: Program
    meet_id: int
    tokens: dict[Role, str]
    part: int = 0


@dataclass
class Crowd:
    """Everybody at one part of the day."""

    phones: list[Device]
    officials: list[Official]
    flooded: tuple[int, int] = (0, 0)

    def part(self, what: str) -> Part:
        """Return what was seen."""
        board = [one for phone in self.phones for one in phone.waits_ms]
        writing = [one for official in self.officials for one in official.device.waits_ms]
        return Part(what, board, writing, self.written)

    @property
    def written(self) -> int:
        """How many entries were acknowledged."""
        return sum(len(official.acknowledged) for official in self.officials)


def main() -> None:
    """Measure and write the page."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--kills", type=int, default=20)
    asked = parser.parse_args()
    parts = []
    with tempfile.TemporaryDirectory() as folder:
        day = open_day(Path(folder))
        try:
            parts.append(spend(day, 60.0 * asked.minutes).part(f"{asked.minutes:g} minutes"))
            hasty = spend(day, FLOOD_S, flooded=True)
            parts.append(hasty.part(f"{FLOOD_S:.0f} s beside one phone as fast as it can"))
            killed = spend(day, 0.0, kills=asked.kills)
            parts.append(killed.part(f"server killed {asked.kills} times"))
        finally:
            day.program.kill()
    sent, served = hasty.flooded
    write_page(
        parts,
        cars=CARS, lanes=LANES, phones=PHONES, every_s=EVERY_S, kills=asked.kills,
        sent=sent, sent_per_s=sent / FLOOD_S, served=served,
    )  # fmt: skip


def open_day(folder: Path) -> Day:
    """Draw the meet, invite everybody and start the server."""
    with BenchBook.open(folder) as book:
        settings = MeetSettings(Format.TIMED_HEATS, lanes=LANES, rounds=ROUNDS)
        meet_id = open_meet(book, CARS, settings)
        now = datetime.now(UTC)
        tokens = {role: invite(book, role, str(role), now, meet_id=meet_id)[1] for role in Role}
    program = Program(folder)
    program.start()
    time.sleep(5.0)  # what is compiled is loaded by then
    return Day(folder, program, meet_id, tokens)


def spend(day: Day, seconds: float, *, flooded: bool = False, kills: int = 0) -> Crowd:
    """Let everybody come, look and write for a while; check the journal at the end."""
    day.part += 1
    crowd, stop = _crowd(day), Event()
    threads = [
        Thread(target=watch_board, args=(phone, day.meet_id, 2.0 * number / PHONES, stop))
        for number, phone in enumerate(crowd.phones)
    ]
    threads += [
        Thread(target=official.work, args=(2.0 * number, EVERY_S, stop))
        for number, official in enumerate(crowd.officials)
    ]
    for thread in threads:
        thread.start()
    try:
        if flooded:
            crowd.flooded = _flood(day, seconds)
        elif kills:
            _kill(day, crowd, kills)
        else:
            time.sleep(seconds)
    finally:
        stop.set()
        for thread in threads:
            thread.join(30)
    require_kept(day, crowd)
    return crowd


def require_kept(day: Day, crowd: Crowd) -> None:
    """Require that each acknowledged entry stands in the journal once, and none came twice."""
    with BenchBook.open(day.folder) as book, book.read() as session:
        keys = session.scalars(select(MeetEventRow.entry_key).order_by(MeetEventRow.seq)).all()
        numbers = session.scalars(select(MeetEventRow.seq).order_by(MeetEventRow.seq)).all()
    found = Counter(key for key in keys if key)
    for official in crowd.officials:
        missing = [key for key in official.acknowledged if found[key] != 1]
        if missing or official.refused:
            message = f"{official.name}: lost or doubled {missing}, refused {official.refused}"
            raise RuntimeError(message)
    if list(numbers) != list(range(1, len(numbers) + 1)):
        raise RuntimeError("the journal has gaps")


def _crowd(day: Day) -> Crowd:
    port, path = day.program.port, f"/meets/{day.meet_id}"
    phones = [
        Device(port, f"10.0.{day.part}.{number + 1}", day.tokens[Role.SPECTATOR])
        for number in range(PHONES)
    ]
    with BenchBook.open(day.folder) as book:
        first = upcoming(read_meet(book, day.meet_id).state)[0].number

    def heat(number: int) -> tuple[str, dict[str, str]]:
        rng = random.Random(first + number)
        times = {f"lane_{lane}": f"{rng.gauss(10.0, 0.1):.3f}" for lane in range(1, LANES + 1)}
        at = first + number - 1
        return f"{path}/run/{at}", {**times, "heat": str(at), "confirmed": "yes"}

    def sheet(number: int) -> tuple[str, dict[str, str]]:
        form = {"mass_g": "58.1", "wheelbase_mm": "41", "question_0": "yes", "signed_by": "Bo"}
        return f"{path}/scrutiny/{number % CARS + 1}", form

    def protest(number: int) -> tuple[str, dict[str, str]]:
        told = f"protest {day.part}.{number}"
        return f"{path}/protests", {"car": str(number % CARS + 1), "heat": "1", "protest": told}

    work = (
        (Role.CLOCK, heat),
        (Role.SCRUTINY, sheet),
        (Role.CLOCK, protest),
        (Role.DIRECTOR, protest),
    )
    officials = [
        Official(
            Device(port, f"10.1.{day.part}.{number}", day.tokens[role]),
            entries,
            f"{day.part}-{number}-{role}",
        )
        for number, (role, entries) in enumerate(work)
    ]
    return Crowd(phones, officials)


def _flood(day: Day, seconds: float) -> tuple[int, int]:
    arguments = (day.program.port, day.tokens[Role.SPECTATOR], day.meet_id, seconds, 8)
    with get_context("spawn").Pool(1) as pool:
        return pool.apply(flood, arguments)


def _kill(day: Day, crowd: Crowd, kills: int) -> None:
    rng = random.Random(8)
    for _ in range(kills):
        time.sleep(rng.uniform(2.0, 6.0))
        day.program.kill()
        require_kept(day, crowd)
        with BenchBook.open(day.folder) as book:
            before = upcoming(read_meet(book, day.meet_id).state)[0].number
        day.program.start()
        device = Device(day.program.port, "10.2.0.1", day.tokens[Role.CLOCK])
        if device.ask("GET", f"/meets/{day.meet_id}/run") is None:
            raise RuntimeError("the server did not come back")
        with BenchBook.open(day.folder) as book:
            after = upcoming(read_meet(book, day.meet_id).state)[0].number
        if not before <= after <= before + 1:  # an official may have been faster than this look
            raise RuntimeError(f"went on in heat {after} instead of {before}")


if __name__ == "__main__":
    main()
