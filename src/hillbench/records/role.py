"""What another device may do."""

from __future__ import annotations

from enum import StrEnum


class Role(StrEnum):
    """What another device may do; each may look at the board."""

    SPECTATOR = "spectator"
    SCRUTINY = "scrutiny"
    CLOCK = "clock"
    DIRECTOR = "director"
