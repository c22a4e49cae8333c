"""The page that tells what `benchmarks.race_day` measured."""

from __future__ import annotations

import os
import platform
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

PAGE: Final = Path(__file__).parents[1] / "docs" / "benchmarks-race-day.md"
_TEXT: Final = """# Load and faults on a race day

Written by `python -m benchmarks.race_day` with Python {python} on {system}, {cores} cores that
were shared with other work (load average {load} at the end).

A meet of {cars} cars on {lanes} lanes, in one SQLite file, served by one process. {phones}
phones ask for the board every 2 s as its page does; 4 officials (two at the clock, one at
scrutiny, the director) write once every {every_s:.0f} s each, some ten times the pace of a real
meet. Phones and officials run on the same computer over loopback, so what they take is taken
from the server.

| part | board: answers | median, ms | 95 %, ms | most, ms | officials: answers | median, ms \
| 95 %, ms | most, ms | entries acknowledged |
|---|---|---|---|---|---|---|---|---|---|
{rows}

Asked for are 10 minutes with 95 % of the answers within 200 ms. This is what was seen in the
shorter time that the first row tells; `--minutes 10` runs it in full.

The hasty phone put {sent:,} requests ({sent_per_s:,.0f} a second) on 8 connections; {served:,}
were served, which is what one phone may ask for. Of the others each waits half a second for its
answer, which is to wait (429), and the next on the same connection is not read before, so most
never were.

After each of the {kills} kills (SIGKILL, at random moments) and at the end every entry that was
acknowledged stood in the journal once, its lines were numbered without a gap, and the meet went
on in the same heat. An entry that got no answer is sent again under its key and counts once.
Waits while the server was not there are not in the table. Right after a start the first answers
are slow, beyond the 200 ms asked for: what is compiled is loaded, and every phone connects again at
once.
"""


@dataclass(frozen=True)
class Part:
    """What was seen in one part of the day.

    Attributes
    ----------
    what
        Which part.
    board_ms, writing_ms
        How long answers took, ms: to those who look at the board, and to officials.
    written
        Entries that were acknowledged.
    """

    what: str
    board_ms: Sequence[float]
    writing_ms: Sequence[float]
    written: int

    def row(self) -> str:
        """Return a line of the table."""
        seen = (*_quantiles(self.board_ms), *_quantiles(self.writing_ms))
        return f"| {' | '.join((self.what, *seen, str(self.written)))} |"


def write_page(parts: Sequence[Part], **told: float) -> None:
    """Write the page of the documentation."""
    text = _TEXT.format(
        rows="\n".join(part.row() for part in parts),
        python=platform.python_version(),
        system=f"{platform.system()}, {platform.machine()}",
        cores=os.cpu_count(),
        load=" ".join(f"{one:.1f}" for one in os.getloadavg()),
        **told,
    )
    PAGE.write_text(text, encoding="utf-8")
    print(text)


def _quantiles(waits_ms: Sequence[float]) -> tuple[str, ...]:
    if not waits_ms:
        return "0", "", "", ""
    median, high, most = np.percentile(waits_ms, [50, 95, 100])
    return f"{len(waits_ms):,}", f"{median:.0f}", f"{high:.0f}", f"{most:.0f}"
