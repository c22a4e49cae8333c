"""The ledger of a build's mass: what each step should leave, beside what the scale said."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.building.cause import Cause, Part, Suspects, likely_causes
from hillbench.building.step import MassChange
from hillbench.uncertainty import Estimate

COVERAGE: Final = 2.0
"""Expanded uncertainty over the standard one: about 95 % (JCGM 100:2008, 6.3.3)."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A step as far as mass goes.

    Attributes
    ----------
    key
        Its name in the build.
    title
        What it is called in sentences.
    changes
        What it does to the mass.
    done
        Whether it is done.
    weighed
        What the scale said at its end, g; None where it was not asked.
    """

    key: str
    title: str
    changes: tuple[MassChange, ...]
    done: bool
    weighed: Estimate | None = None

    @property
    def change(self) -> Estimate:
        """What it does to the mass in all, g."""
        return Estimate(
            math.fsum(one.total_g for one in self.changes),
            math.hypot(*(one.total_uncertainty_g for one in self.changes)),
        )


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the ledger.

    Attributes
    ----------
    entry
        The step.
    expected
        Mass after it: that of the last weighing before it with all changes since, g; None
        where the car was never weighed.
    difference
        Weighed less expected, g; None without either.
    causes
        What explains a difference beyond its uncertainty, likeliest first.
    """

    entry: Entry
    expected: Estimate | None
    difference: Estimate | None
    causes: tuple[Cause, ...]

    @property
    def disagrees(self) -> bool:
        """Whether the scale and the ledger differ beyond their uncertainty."""
        gap = self.difference
        return gap is not None and abs(gap.value) > COVERAGE * gap.standard_uncertainty

    @property
    def after(self) -> Estimate | None:
        """Best knowledge of the mass after it: weighed, else expected, g."""
        return self.entry.weighed or self.expected


def keep_ledger(
    entries: Sequence[Entry], start: Estimate | None = None, loose: Sequence[Part] = ()
) -> tuple[Line, ...]:
    """Return the ledger of a build.

    Parameters
    ----------
    entries
        Steps in the order in which they were done, the coming ones behind them.
    start
        What is known of the car's mass before the first step, g.
    loose
        Parts of the car that may be forgotten beside the scale.

    Notes
    -----
    After a weighing the ledger goes on from what the scale said: each difference then tells
    only of the steps since. Uncertainties of weighing and changes combine in quadrature
    (JCGM 100:2008, 5.1.2).
    """
    lines: list[Line] = []
    known, since = start, list[Entry]()
    for place, entry in enumerate(entries):
        if entry.changes:
            since.append(entry)
        expected = None if known is None else _after(known, since)
        gap = _difference(entry.weighed, expected)
        line = Line(entry, expected, gap, ())
        if line.disagrees and gap is not None and entry.weighed is not None:
            suspects = Suspects(
                done=tuple(change for one in since for change in one.changes),
                coming=tuple(change for one in entries[place + 1 :] for change in one.changes),
                loose=tuple(loose),
                weighed_g=entry.weighed.value,
            )
            line = Line(entry, expected, gap, likely_causes(gap, suspects))
        lines.append(line)
        if entry.weighed is not None:
            known, since = entry.weighed, []
    return tuple(lines)


def _after(known: Estimate, since: Sequence[Entry]) -> Estimate:
    changes = [entry.change for entry in since]
    return Estimate(
        known.value + math.fsum(change.value for change in changes),
        math.hypot(
            known.standard_uncertainty, *(change.standard_uncertainty for change in changes)
        ),
    )


def _difference(weighed: Estimate | None, expected: Estimate | None) -> Estimate | None:
    if weighed is None or expected is None:
        return None
    return Estimate(
        weighed.value - expected.value,
        math.hypot(weighed.standard_uncertainty, expected.standard_uncertainty),
    )
