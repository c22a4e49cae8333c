"""Finish times as people and timers write them."""

from __future__ import annotations

import math
import re
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.units import TIME, parse_quantity

LEAST_S: Final = 0.1
GREATEST_S: Final = 3600.0
ALLOWED: Final = f"a time from {LEAST_S:g} to {GREATEST_S:g} s"

_PLAIN: Final = re.compile(r"\d{1,9}(?:[.,]\d{1,9})?")
_CLOCK: Final = re.compile(
    r"(?:(?P<hours>\d{1,2}):)?(?P<minutes>\d{1,2}):(?P<seconds>\d{1,2}(?:[.,]\d{1,9})?)"
    r"(?:\s*(?:s|min|h))?",
    re.IGNORECASE,
)
_UNFINISHED: Final = frozenset(
    {"dnf", "dns", "dq", "nf", "no finish", "did not finish", "no time", "off", "off track", "x"}
)
_NOTHING: Final = frozenset({"", "-", "–", "—", "n/a", "na", "nan", "none", "null", "?"})


def parse_time(text: str, where: str = "time_s", *, unit: str = "s") -> float:
    """Return a finish time in seconds.

    Parameters
    ----------
    text
        As written: ``10.4``, ``10,4``, ``0:10.4``, ``10.4 s``, ``10400 ms``.
    where
        Name of the field, for the message.
    unit
        Unit of a bare number: ``s``, ``ms`` or ``min``.

    Raises
    ------
    InvalidInput
        If the text is no time, or the time is none that a run down a hill can take.
    """
    stripped = text.strip()
    if _PLAIN.fullmatch(stripped):
        time_s = float(stripped.replace(",", ".")) * TIME.factors[unit]
    elif clock := _CLOCK.fullmatch(stripped):
        time_s = _clock_seconds(clock, stripped, where)
    elif says_nothing(stripped):
        raise InvalidInput([Problem(where, "missing", ALLOWED, "type it, or note no finish")])
    else:
        time_s = parse_quantity(stripped, TIME, unit, where)
    if not (math.isfinite(time_s) and LEAST_S <= time_s <= GREATEST_S):
        seen = stripped if len(stripped) <= 20 else f"{time_s:g} s"
        raise InvalidInput([Problem(where, seen, ALLOWED, "type it again")])
    return time_s


def says_nothing(text: str) -> bool:
    """Return whether a cell is empty, or says that it is."""
    return text.strip().casefold() in _NOTHING


def says_unfinished(text: str) -> bool:
    """Return whether a cell says, in place of a time, that the run had no finish."""
    return text.strip().casefold().rstrip(".") in _UNFINISHED


def _clock_seconds(clock: re.Match[str], text: str, where: str) -> float:
    seconds = float(clock["seconds"].replace(",", "."))
    minutes = int(clock["minutes"])
    if seconds >= 60.0 or (clock["hours"] and minutes >= 60):
        raise InvalidInput([Problem(where, text, "minutes and seconds below 60", "type it again")])
    return 3600.0 * int(clock["hours"] or 0) + 60.0 * minutes + seconds
