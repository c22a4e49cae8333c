"""Tell in plain words what a hill and its cars are made of, unknown by unknown."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.fitting.finding import Knowledge
from hillbench.fitting.readings import TRACK
from hillbench.usecases.fit_file import UnknownAnswer
from hillbench.usecases.tell_fit import UNKNOWN_WORDS, owner_words

HILL: Final = ("rolling_resistance", "wall_friction", "run_scatter_s", "bad_rate")
"""What belongs to the hill, in the order told."""

CARS: Final = ("load_loss", "bearing_friction", "steady_drag_mn", "drag_area_cm2")
"""What belongs to the cars, in the order told."""

SLOPES: Final = frozenset({"rolling_resistance", "load_loss"})
"""What is told as a slope."""

_MEANINGS: Final[Mapping[str, str]] = {
    "rolling_resistance": "as if the hill were less steep by that angle",
    "wall_friction": "part of the force on the wall that brakes the car in a bend",
    "run_scatter_s": "how much the same car differs from run to run",
    "bad_rate": "how often something holds a car up",
    "load_loss": "rolling and bearings together: the slope on which the car just keeps rolling",
    "bearing_friction": "axle in its bearing",
    "steady_drag_mn": "a rub that does not grow with weight or speed",
    "drag_area_cm2": "what the air sees of the car",
}


@dataclass(frozen=True, slots=True)
class Known:
    """One unknown in plain words.

    Attributes
    ----------
    name
        The unknown, as in the answer of the fit.
    words
        What it is.
    owner
        Whose it is; empty for the hill.
    value, low, high, before
        Its median, the ends of its 90 % interval and the interval believed before, written
        with their unit.
    knowledge
        ``known``, ``partly known``, ``not known`` or ``as measured``.
    meaning
        What the number means to a builder.
    """

    name: str
    words: str
    owner: str
    value: str
    low: str
    high: str
    before: str
    knowledge: str
    meaning: str


def tell_unknowns(unknowns: Sequence[UnknownAnswer], names: Sequence[str]) -> tuple[Known, ...]:
    """Return the unknowns of these names in plain words, in the order of the names."""
    return tuple(_known(one) for name in names for one in unknowns if one.name == name)


def tell_knowledge(told: Sequence[Known]) -> tuple[tuple[str, str], ...]:
    """Return what is known, partly known and not known, each in one sentence with its heading."""
    return tuple(_gathered(told))


def _gathered(told: Sequence[Known]) -> Iterator[tuple[str, str]]:
    every = Counter(one.words for one in told)
    for knowledge, heading in (
        (Knowledge.KNOWN, "Known"),
        (Knowledge.PARTLY, "Partly known"),
        (Knowledge.UNKNOWN, "Not known yet"),
    ):
        owners: dict[str, list[str]] = {}
        for one in told:
            if one.knowledge == knowledge:
                owners.setdefault(one.words, []).append(one.owner)
        parts = [words + _of(who, every[words]) for words, who in owners.items()]
        if parts:
            text = "; ".join(parts)
            yield heading, f"{text[:1].upper()}{text[1:]}."


def _of(who: Sequence[str], count: int) -> str:
    if not any(who):
        return ""
    return " of every car" if len(who) == count > 2 else f" of {_joined(who)}"


def _joined(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _known(one: UnknownAnswer) -> Known:
    write = _WRITERS.get(one.name, _plain)
    before = f"{write(one.prior_low)} to {write(one.prior_high)}"
    return Known(
        name=one.name,
        words=UNKNOWN_WORDS[one.name],
        owner="" if one.owner == TRACK else owner_words(one.name, one.owner),
        value=write(one.median),
        low=write(one.low),
        high=write(one.high),
        before=before,
        knowledge=one.knowledge,
        meaning=_MEANINGS.get(one.name, ""),
    )


def as_slope_deg(ratio: float) -> float:
    """Return a loss over the load as the slope on which a car just keeps rolling, degrees."""
    return math.degrees(math.atan(ratio))


def _slope(ratio: float) -> str:
    return f"{as_slope_deg(ratio):.2f}°"


def _plain(value: float) -> str:
    return f"{value:.2g}" if abs(value) < 0.1 else f"{value:.2f}"


_WRITERS: Final[Mapping[str, Callable[[float], str]]] = {
    "rolling_resistance": _slope,
    "load_loss": _slope,
    "run_scatter_s": lambda value: f"{value:.3f} s",
    "bad_rate": lambda value: f"{100.0 * value:.0f} %",
    "steady_drag_mn": lambda value: f"{value:.2f} mN",
    "drag_area_cm2": lambda value: f"{value:.1f} cm²",
}
