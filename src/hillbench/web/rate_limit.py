"""Slow one device down so that the others are served."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from typing import Final

PER_S: Final = 15.0
"""Requests a second that one device may keep up."""

BURST: Final = 120.0
"""Requests it may make at once, such as the files of a first page."""

_MOST_DEVICES: Final = 5_000


class RateLimit:
    """A bucket for each device, which fills slowly and is emptied by its requests.

    Parameters
    ----------
    seconds
        A clock that only runs forward, s.
    """

    def __init__(self, seconds: Callable[[], float]) -> None:
        self._seconds = seconds
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def wait_s(self, device: str) -> float:
        """Take one request out of a device's bucket; return how long it has to wait, s.

        A device that asks while it has to wait waits no longer for it, so that one that stops
        is served again soon.
        """
        now_s = self._seconds()
        left, since_s = self._buckets.pop(device, (BURST, now_s))
        left = min(BURST, left + (now_s - since_s) * PER_S)
        wait_s = 0.0 if left >= 1.0 else (1.0 - left) / PER_S
        self._buckets[device] = (left - 1.0 if left >= 1.0 else left, now_s)
        if len(self._buckets) > _MOST_DEVICES:
            self._buckets.popitem(last=False)
        return wait_s
