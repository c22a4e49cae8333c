"""Bytes from a timer as whole lines: half lines wait, garbage is marked, repeats are dropped."""

from __future__ import annotations

from typing import Final

from hillbench.timing.line_rule import LONGEST_LINE

REPEATED_WITHIN_S: Final = 2.0
"""A line that comes again word for word so soon is the same one: no car runs twice so fast."""


class LineStream:
    """Gathers the lines of one timer. Times are those of any clock that only runs forward."""

    def __init__(self) -> None:
        self._half = b""
        self._last = ""
        self._last_at_s = -REPEATED_WITHIN_S
        self.repeat_count = 0

    def feed(self, data: bytes, now_s: float) -> list[str]:
        """Return the lines that are whole now.

        Parameters
        ----------
        data
            What came, of any length.
        now_s
            When, s.
        """
        *whole, self._half = (self._half + data).replace(b"\r", b"\n").split(b"\n")
        if len(self._half) > 4 * LONGEST_LINE:
            self._half = b""  # no timer writes so long a line; the next end of line helps
        lines = [line.decode("ascii", errors="replace").strip(" \t\0") for line in whole]
        return [line for line in lines if line and not self._is_repeat(line, now_s)]

    def interrupt(self) -> None:
        """Forget half a line; its end will never come."""
        self._half = b""

    def _is_repeat(self, line: str, now_s: float) -> bool:
        same = line == self._last and now_s - self._last_at_s < REPEATED_WITHIN_S
        self._last, self._last_at_s = line, now_s
        self.repeat_count += same
        return same
