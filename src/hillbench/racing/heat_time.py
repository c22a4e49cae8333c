"""What one car did in one heat: the row that every ranking reads."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HeatTime:
    """What one car did in one heat.

    Attributes
    ----------
    heat, lane, car
        Numbers of the heat, the lane and the car.
    time_s
        Its time, s; None without a finish.
    void
        Whether the row does not count, because the heat was run again; it stays on record.
    """

    heat: int
    lane: int
    car: int
    time_s: float | None
    void: bool = False
