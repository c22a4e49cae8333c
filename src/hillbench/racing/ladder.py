"""Elimination: who meets whom, with seeds, byes and second lives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from hillbench.errors import InvalidInput, Problem


class Part(StrEnum):
    """Part of a ladder."""

    UPPER = "upper"
    LOWER = "lower"
    FINAL = "final"
    SECOND_FINAL = "second final"


@dataclass(frozen=True, slots=True)
class Seed:
    """The car with this place in the seeding, from 1."""

    place: int


@dataclass(frozen=True, slots=True)
class WinnerOf:
    """The winner of a match."""

    match: int


@dataclass(frozen=True, slots=True)
class LoserOf:
    """The loser of a match."""

    match: int


Source = Seed | WinnerOf | LoserOf


@dataclass(frozen=True, slots=True)
class Match:
    """One meeting of two cars on the ladder.

    Attributes
    ----------
    number
        Its number, from 0, in an order in which it can be run.
    part
        Part of the ladder.
    step
        Round of that part, from 1.
    first, second
        Where its two cars come from.
    """

    number: int
    part: Part
    step: int
    first: Source
    second: Source


@dataclass(frozen=True, slots=True)
class Ladder:
    """All matches of an elimination.

    Attributes
    ----------
    cars
        Number of cars.
    lives
        Losses that put a car out, 1 or 2.
    matches
        The matches, in an order in which they can be run. With two lives the last one is run
        only if the car that came from below wins the final.
    """

    cars: int
    lives: int
    matches: tuple[Match, ...]


class _Builder:
    def __init__(self) -> None:
        self.matches: list[Match] = []

    def meet(
        self, part: Part, step: int, first: Source | None, second: Source | None
    ) -> tuple[Source | None, Source | None]:
        """Add a match and return its winner and loser; a car without opponent has a bye."""
        if first is None or second is None:
            return first or second, None
        number = len(self.matches)
        self.matches.append(Match(number, part, step, first, second))
        return WinnerOf(number), LoserOf(number)

    def meet_all(
        self, part: Part, step: int, pairs: Sequence[tuple[Source | None, Source | None]]
    ) -> tuple[list[Source | None], list[Source | None]]:
        ends = [self.meet(part, step, first, second) for first, second in pairs]
        return [winner for winner, _ in ends], [loser for _, loser in ends]


def seed_order(places: int) -> tuple[int, ...]:
    """Return the seeds in the order of the first round, from the top of the ladder.

    Parameters
    ----------
    places
        Places of the first round, a power of two.

    Notes
    -----
    Neighbours sum to `places` + 1, and the best two can meet only in the last match, the best
    four only in the last two rounds, and so on.
    """
    order = [1]
    while len(order) < places:
        total = 2 * len(order) + 1
        order = [
            seed
            for place, better in enumerate(order)
            for seed in ((better, total - better) if place % 2 == 0 else (total - better, better))
        ]
    return tuple(order)


def build_ladder(cars: int, lives: int = 1) -> Ladder:
    """Return the matches of an elimination.

    Parameters
    ----------
    cars
        Number of cars, 2 or more; the best seeds have the byes.
    lives
        Losses that put a car out, 1 or 2.

    Raises
    ------
    InvalidInput
        For a number that is not allowed.

    Notes
    -----
    Each match takes a life, so there are `cars` - 1 matches with one life; with two there are
    2 `cars` - 2, or one more if the champion has lost once.
    """
    if not 2 <= cars <= 256 or lives not in {1, 2}:
        where, seen = ("lives", lives) if lives not in {1, 2} else ("cars", cars)
        allowed = "1 or 2" if where == "lives" else "2 to 256"
        raise InvalidInput([Problem(where, str(seen), allowed)])
    builder = _Builder()
    places = 1 << (cars - 1).bit_length()
    current: list[Source | None] = [
        Seed(seed) if seed <= cars else None for seed in seed_order(places)
    ]
    below: list[Source | None] = []
    step = 0
    while len(current) > 1:
        step += 1
        current, losers = builder.meet_all(Part.UPPER, step, _neighbours(current))
        if lives == 2:
            below = _go_on_below(builder, below, losers, step)
    if lives == 2:
        # Two losers' steps for each winners' step but the first.
        while len(below) > 1:
            below, _ = builder.meet_all(Part.LOWER, 2 * step, _neighbours(below))
        builder.meet(Part.FINAL, 1, current[0], below[0])
        final = len(builder.matches) - 1
        builder.meet(Part.SECOND_FINAL, 1, WinnerOf(final), LoserOf(final))
    return Ladder(cars, lives, tuple(builder.matches))


def _neighbours(
    places: Sequence[Source | None],
) -> list[tuple[Source | None, Source | None]]:
    return list(zip(places[::2], places[1::2], strict=True))


def _go_on_below(
    builder: _Builder, below: list[Source | None], fallen: list[Source | None], step: int
) -> list[Source | None]:
    """Return who is left below after the losers of an upper round have come down."""
    if step == 1:
        return fallen
    if len(below) > len(fallen):
        below, _ = builder.meet_all(Part.LOWER, 2 * step - 3, _neighbours(below))
    # Crossed over, so that two who met above do not meet again at once.
    half = len(fallen) // 2
    crossed = fallen[::-1] if step % 2 == 0 else [*fallen[half:], *fallen[:half]]
    below, _ = builder.meet_all(Part.LOWER, 2 * step - 2, list(zip(below, crossed, strict=True)))
    return below


def next_matches(ladder: Ladder, won: Mapping[int, int]) -> tuple[tuple[Match, int, int], ...]:
    """Return the matches that can be run now, with the seeds of their two cars.

    Parameters
    ----------
    ladder
        The ladder.
    won
        Winner's seed by number of each match that is decided.
    """
    ready = []
    for match in ladder.matches:
        if match.number in won or not _is_wanted(ladder, match, won):
            continue
        first, second = (_seed_of(ladder, source, won) for source in (match.first, match.second))
        if first is not None and second is not None:
            ready.append((match, first, second))
    return tuple(ready)


def champion(ladder: Ladder, won: Mapping[int, int]) -> int | None:
    """Return the seed of the car that has won it all, None before that."""
    last = ladder.matches[-1]
    if last.part is Part.SECOND_FINAL and not _is_wanted(ladder, last, won):
        last = ladder.matches[-2]
    return won.get(last.number)


def _is_wanted(ladder: Ladder, match: Match, won: Mapping[int, int]) -> bool:
    """Return whether a match is to be run: the second final only if the first was lost above."""
    if match.part is not Part.SECOND_FINAL:
        return True
    final = ladder.matches[-2]
    winner = won.get(final.number)
    return winner is None or winner != _seed_of(ladder, final.first, won)


def _seed_of(ladder: Ladder, source: Source, won: Mapping[int, int]) -> int | None:
    if isinstance(source, Seed):
        return source.place
    winner = won.get(source.match)
    if winner is None or isinstance(source, WinnerOf):
        return winner
    match = ladder.matches[source.match]
    sides = [_seed_of(ladder, side, won) for side in (match.first, match.second)]
    return sides[0] if winner == sides[1] else sides[1]
