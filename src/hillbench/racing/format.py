"""The ways to run a meet."""

from __future__ import annotations

from enum import StrEnum
from typing import Final


class Format(StrEnum):
    """A way to run a meet."""

    TIMED_HEATS = "timed heats"
    TIMED_HEATS_FINAL = "timed heats and timed final"
    TWO_RUNS_FINAL = "two timed runs and timed final"
    POINTS = "heats with points by place"
    SINGLE = "single elimination"
    SINGLE_SEEDED = "two timed runs, then single elimination"
    SINGLE_OF_THREE = "single elimination, best of three"
    DOUBLE = "double elimination"
    PAIRS = "every pair once"


NEEDS_TIMER: Final = {
    Format.TIMED_HEATS,
    Format.TIMED_HEATS_FINAL,
    Format.TWO_RUNS_FINAL,
    Format.SINGLE_SEEDED,
}
"""Formats that cannot do without a timer."""

WITH_FINAL: Final = {Format.TIMED_HEATS_FINAL, Format.TWO_RUNS_FINAL}
"""Formats in which the fastest run a final, all their times pooled."""

WITH_LADDER: Final = {Format.SINGLE, Format.SINGLE_SEEDED, Format.SINGLE_OF_THREE, Format.DOUBLE}
"""Formats that end in an elimination."""

OF_TWO: Final = {Format.SINGLE, Format.SINGLE_OF_THREE, Format.DOUBLE, Format.PAIRS}
"""Formats in which two cars meet, so that a track without lanes will do."""
