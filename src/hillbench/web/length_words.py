"""Sentences that tell lengths in millimetres, told in inches to those who prefer them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from hillbench import units
from hillbench.web.preferences import Preferences

_LENGTHS: Final = re.compile(r"(?<![\d.])((?:\d+(?:\.\d+)? × )*\d+(?:\.\d+)?) mm\b")


def in_preferred_lengths(sentence: str, preferences: Preferences, names: Iterable[str] = ()) -> str:
    """Return a sentence with its lengths in the preferred unit.

    Parameters
    ----------
    sentence
        With lengths such as ``12.5 mm`` or ``15 × 10 × 2 mm``.
    preferences
        Of the reader.
    names
        Names in it, which stay as they are.
    """
    if preferences.length_unit == "mm":
        return sentence
    kept = sorted({name for name in names if name}, key=len, reverse=True)
    pattern = "|".join(re.escape(name) for name in kept)
    parts = re.split(f"({pattern})", sentence) if pattern else [sentence]
    return "".join(part if part in kept else _LENGTHS.sub(_inches, part) for part in parts)


def _inches(match: re.Match[str]) -> str:
    told = (
        f"{units.convert(float(number), units.LENGTH, 'in'):.3f}"
        for number in match[1].split(" × ")
    )
    return f"{' × '.join(told)} in"
