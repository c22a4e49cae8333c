"""Races of two: every pair once, and the best of several."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.counts import Heat


def draw_pairs(cars: int) -> tuple[tuple[Heat, ...], ...]:
    """Return rounds of heats of two cars in which every pair meets once.

    Parameters
    ----------
    cars
        Number of cars, 2 to 200; with an odd number one rests in each round.

    Returns
    -------
    tuple of rounds
        Each a tuple of heats, car numbers by lane. No car has more than one run more on one
        lane than on the other.

    Raises
    ------
    InvalidInput
        For a number that is not allowed.

    Notes
    -----
    Circle method: one car stays, the others move round it (T. P. Kirkman, On a problem in
    combinations, Cambridge and Dublin Mathematical Journal 2 (1847), 191-204). Pairs whose
    numbers on the circle sum to an odd and an even number take the lanes in turn.
    """
    if not 2 <= cars <= 200:
        raise InvalidInput([Problem("cars", str(cars), "2 to 200")])
    size = cars + cars % 2
    rounds = []
    for turn in range(size - 1):
        heats = []
        for step in range(size // 2):
            first, second = (turn - step) % (size - 1), (turn + step) % (size - 1)
            if step == 0:
                # The car that stays changes lanes every round.
                second = size - 1
                first, second = (first, second) if turn % 2 == 0 else (second, first)
            elif step % 2:
                first, second = second, first
            if max(first, second) < cars:
                heats.append((first + 1, second + 1))
        rounds.append(tuple(heats))
    return tuple(rounds)


def winner_of(races: Sequence[int], best_of: int) -> int | None:
    """Return who has won a match of several races, None while it is open.

    Parameters
    ----------
    races
        Winner's number of each race that counts, in the order run.
    best_of
        Odd number of races; whoever has won more than half of them has won.

    Raises
    ------
    ValueError
        If `best_of` is not odd.
    """
    if best_of < 1 or best_of % 2 == 0:
        raise ValueError(f"best_of is {best_of}; it must be odd")
    wins: dict[int, int] = {}
    for winner in races:
        wins[winner] = wins.get(winner, 0) + 1
        if wins[winner] > best_of // 2:
            return winner
    return None


def lanes_for(first: int, second: int, race: int) -> Heat:
    """Return the heat of a match's race, from 0: the two change lanes after each race."""
    return (first, second) if race % 2 == 0 else (second, first)
