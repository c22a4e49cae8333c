"""Where times come from: the one thing that a new kind of timer has to offer."""

from __future__ import annotations

from typing import Protocol

from hillbench.timing.reading import Reading


class TimeSource(Protocol):
    """A source of times, such as a file, a timer on a line, or a video.

    Whatever takes times asks for this and nothing else: a source reads what it has and tells
    what it could not use.
    """

    @property
    def name(self) -> str:
        """What the source is called in messages."""

    @property
    def reading_uncertainty_s(self) -> float:
        """Standard uncertainty of one of its times, s, 0 or more."""

    def read(self) -> Reading:
        """Return the runs that have come since the last call, and what was wrong."""
