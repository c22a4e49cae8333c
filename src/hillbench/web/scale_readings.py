"""Several readings of a scale typed in one line, as they were read."""

from __future__ import annotations

import re
from typing import Final

_SEPARATOR: Final = re.compile(r"[;\n]|,\s")
_UNIT: Final = re.compile(r"[^\d\s.,/+\-−]+\.?$")
_STARTS_WITH_DIGIT: Final = re.compile(r"[+\-−.,]?\d")


def split_readings(text: str) -> tuple[str, ...]:
    """Return the readings in a line, each with the unit it was given.

    Parameters
    ----------
    text
        ``37.21 37.24 37.22 g``, ``37,21; 37,24``, ``1 5/16 oz; 1 3/8 oz``. Without a
        semicolon or a new line, blanks part the readings. A unit that stands only at the
        end holds for all.
    """
    parts = _parts(text.strip())
    last = _UNIT.search(parts[-1]) if parts else None
    if last is None or any(_UNIT.search(part) for part in parts[:-1]):
        return tuple(parts)
    return tuple(part if _UNIT.search(part) else f"{part} {last[0]}" for part in parts)


def _parts(text: str) -> list[str]:
    if _SEPARATOR.search(text):
        return [part.strip() for part in _SEPARATOR.split(text) if part.strip()]
    parts: list[str] = []
    for word in text.split():
        if _STARTS_WITH_DIGIT.match(word) or not parts:
            parts.append(word)
        else:  # a unit, or nonsense that is told beside the number before it
            parts[-1] += f" {word}"
    return parts
