"""A meet on a server that is killed while officials write."""

from __future__ import annotations

import random
import time
import urllib.error
import urllib.parse
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path
from threading import Thread

from hillbench.racing.format import Format
from hillbench.racing.meet_event import EventKind
from hillbench.racing.meet_state import MeetSettings
from hillbench.racing.staging import upcoming
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.read_meet import read_meet
from tests.browser.program import Program
from tests.usecases.meets import open_meet


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_: object) -> None:
        return None


@dataclass
class Official:
    """Enters heat after heat, each again until it is acknowledged.

    Attributes
    ----------
    address
        Of the server.
    meet_id
        The meet.
    acknowledged
        Key and number of each heat that the server said it has.
    slowest_s
        Longest wait for an answer of a server that was there, s.
    """

    address: str
    meet_id: int
    acknowledged: dict[str, int] = field(default_factory=dict)
    slowest_s: float = 0.0

    def enter(self, heat: int, lanes: int) -> bool:
        """Send one heat; return whether it was acknowledged."""
        key = f"heat-{heat}"
        fields = {f"lane_{lane}": f"10.{heat:02d}{lane}" for lane in range(1, lanes + 1)}
        body = urllib.parse.urlencode({**fields, "entry_key": key, "heat": str(heat)}).encode()
        url = f"{self.address}/meets/{self.meet_id}/run/{heat}"
        begun_s = time.monotonic()
        try:
            urllib.request.build_opener(_NoRedirect).open(url, data=body, timeout=5)
        except urllib.error.HTTPError as answer:
            if answer.code != 303:
                raise
            self.slowest_s = max(self.slowest_s, time.monotonic() - begun_s)
            self.acknowledged[key] = heat
            return True
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            return False
        return False

    def run(self, heats: int, lanes: int) -> None:
        """Enter all heats in order, patiently."""
        heat = 1
        while heat <= heats:
            if self.enter(heat, lanes):
                heat += 1
            else:
                time.sleep(0.05)


def run_killed_meet(folder: Path, kills: int, cars: int, seed: int) -> Official:
    """Run a meet whose server is killed again and again; check that nothing is lost or doubled.

    Parameters
    ----------
    folder
        Data folder.
    kills
        How often the server is killed.
    cars
        Cars of the meet, on two lanes; as many heats.
    seed
        Of the moments.
    """
    with BenchBook.open(folder) as book:
        meet_id = open_meet(book, cars, MeetSettings(Format.TIMED_HEATS, lanes=2))
        heats = len(upcoming(read_meet(book, meet_id).state))
    rng = random.Random(seed)
    program = Program(folder)
    program.start()
    official = Official(program.address, meet_id)
    thread = Thread(target=official.run, args=(heats, 2))
    thread.start()
    try:
        for kill in range(kills):
            wanted = (kill + 1) * heats // (kills + 1)
            while len(official.acknowledged) < wanted and thread.is_alive():
                time.sleep(0.005)
            time.sleep(rng.uniform(0.0, 0.03))
            program.kill()
            _require_kept(folder, meet_id, official)
            program.start()
        thread.join(120)
    finally:
        program.kill()
    assert not thread.is_alive()
    _require_kept(folder, meet_id, official)
    with BenchBook.open(folder) as book:
        view = read_meet(book, meet_id)
    told = [event.payload["heat"] for event in view.events if event.kind is EventKind.TIMES]
    assert told == list(range(1, heats + 1))
    return official


def _require_kept(folder: Path, meet_id: int, official: Official) -> None:
    """Require that what was acknowledged stands in the journal, once, and the heat goes on."""
    acknowledged = set(official.acknowledged.values())
    with BenchBook.open(folder) as book:
        view = read_meet(book, meet_id)
    told = [event.payload["heat"] for event in view.events if event.kind is EventKind.TIMES]
    assert len(set(told)) == len(told)
    assert acknowledged <= set(told)
    assert [event.seq for event in view.events] == list(range(1, len(view.events) + 1))
    if upcoming(view.state):
        assert upcoming(view.state)[0].number == len(told) + 1
