"""A wait that is running, and a clock that was set back meanwhile."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

SLACK_S: Final = 2.0
"""How far a clock may step back without being called set back, s: clocks are corrected."""


@dataclass(frozen=True, slots=True)
class WaitNow:
    """A wait as it stands.

    Attributes
    ----------
    left_s
        Time still to wait, s; 0 when it is over.
    set_back_s
        How far the clock was set back at least, s; 0 where it was not.
    """

    left_s: float
    set_back_s: float = 0.0


def wait_now(began_s: float, ends_s: float, seen_s: float, now_s: float) -> WaitNow:
    """Return how long a wait still lasts.

    Parameters
    ----------
    began_s, ends_s
        Begin and end of the wait by the clock, s.
    seen_s
        Latest moment at which the clock was looked at since it began, s.
    now_s
        The clock now, s.

    Notes
    -----
    A clock before the moment it was last looked at was set back. What had been waited until
    then counts; what passed between is not known, so the wait goes on from there: too long
    rather than too short.
    """
    if now_s >= seen_s - SLACK_S:
        return WaitNow(max(ends_s - now_s, 0.0))
    left_s = min(max(ends_s - max(seen_s, began_s), 0.0), ends_s - began_s)
    return WaitNow(left_s, seen_s - now_s)
