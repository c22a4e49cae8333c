"""Answer in which order to run cars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from hillbench.timing.run_order import Turn, run_order


@dataclass(frozen=True, slots=True)
class OrderAnswer:
    """The turns to follow; see `hillbench.timing.run_order.Turn`.

    Attributes
    ----------
    sentence
        The order in words.
    turns
        One entry for each car's run.
    """

    sentence: str
    turns: tuple[Turn, ...]


def order_cars(
    cars: Sequence[str], runs_each: int, lanes: int = 1, *, together: bool = False
) -> OrderAnswer:
    """Return the turns to follow; raises `InvalidInput` for counts that are not allowed."""
    turns = run_order(cars, runs_each, lanes=lanes, together=together)
    starts: dict[int, list[str]] = {}
    for turn in turns:
        place = f"{turn.car} (lane {turn.lane})" if lanes > 1 else turn.car
        starts.setdefault(turn.number, []).append(place)
    return OrderAnswer(", ".join(" with ".join(start) for start in starts.values()) + ".", turns)
