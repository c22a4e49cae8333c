"""In which order to run cars, so that a drift or a lane cannot pass for a difference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.errors import InvalidInput, Problem

_PAIR_ORDERS: Final = {
    1: "AB",
    2: "ABBA",
    3: "ABBABA",
    4: "ABBABAAB",
    5: "ABBABABAAB",
    6: "ABBABABAABAB",
}
"""Orders of two cars by runs of each; a steady drift cancels, or nearly so for odd counts."""

MOST_RUNS_EACH: Final = 100
MOST_CARS: Final = 80


@dataclass(frozen=True, slots=True)
class Turn:
    """Whose turn it is.

    Attributes
    ----------
    number
        Number of the start, from 1; cars that run side by side share it.
    car
        Name of the car.
    lane
        Lane it runs on, from 1.
    """

    number: int
    car: str
    lane: int


def run_order(
    cars: Sequence[str], runs_each: int, *, lanes: int = 1, together: bool = False
) -> tuple[Turn, ...]:
    """Return the turns to follow.

    Parameters
    ----------
    cars
        Names, two or more for a comparison.
    runs_each
        Runs of each car.
    lanes
        Lanes of the track; each car takes them in turn, forwards and then backwards.
    together
        Whether as many cars as there are lanes start side by side.

    Raises
    ------
    InvalidInput
        If there is no car, a name twice, or a count that is not allowed.

    Notes
    -----
    Two cars one at a time: ABBA and its extensions, whose mean places in the order agree (for
    odd counts within 1/n). More cars: every other round backwards, which does the same (Cox,
    Planning of Experiments, 1958, section 14.3, on designs free of trend).
    """
    _check(cars, runs_each, lanes)
    if together and lanes > 1:
        return _side_by_side(cars, runs_each, lanes)
    sequence = _pair_sequence(runs_each) if len(cars) == 2 else _serpentine(len(cars), runs_each)
    done = [0] * len(cars)
    turns = []
    for number, car in enumerate(sequence, start=1):
        turns.append(Turn(number, cars[car], _lane(car, done[car], lanes)))
        done[car] += 1
    return tuple(turns)


def next_turn(turns: Sequence[Turn], done: int) -> Turn | None:
    """Return whose turn it is after `done` runs, None when all are done."""
    return turns[done] if done < len(turns) else None


def _pair_sequence(runs_each: int) -> list[int]:
    """Return the order of two cars; long ones are made of runs of eight, which balance."""
    blocks, rest = divmod(runs_each, 4)
    if blocks and rest in (1, 2):
        blocks, rest = blocks - 1, rest + 4
    text = _PAIR_ORDERS[4] * blocks + (_PAIR_ORDERS[rest] if rest else "")
    return ["AB".index(letter) for letter in text]


def _serpentine(cars: int, rounds: int) -> list[int]:
    forwards = list(range(cars))
    # ABBA over rounds: forwards, back, back, forwards; and so on.
    directions = (1, -1, -1, 1)
    return [car for number in range(rounds) for car in forwards[:: directions[number % 4]]]


def _lane(car: int, run: int, lanes: int) -> int:
    """Return the lane of a car's run: all lanes forwards, then backwards, from its own first."""
    round_, step = divmod(run, lanes)
    place = step if round_ % 2 == 0 else lanes - 1 - step
    return (car + place) % lanes + 1


def _side_by_side(cars: Sequence[str], runs_each: int, lanes: int) -> tuple[Turn, ...]:
    """Return starts of up to `lanes` cars.

    Where all fit, each takes the lanes in turn; else the field moves on by one car a round,
    so that over as many rounds as cars each has stood in every place once.
    """
    turns = []
    number = 0
    for round_ in range(runs_each):
        shift = round_ % len(cars)
        order = [*range(shift, len(cars)), *range(shift)]
        for start in range(0, len(order), lanes):
            number += 1
            for place, car in enumerate(order[start : start + lanes]):
                lane = _lane(car, round_, lanes) if len(cars) <= lanes else place + 1
                turns.append(Turn(number, cars[car], lane))
    return tuple(turns)


def _check(cars: Sequence[str], runs_each: int, lanes: int) -> None:
    problems = []
    if not 1 <= len(cars) <= MOST_CARS:
        problems.append(Problem("cars", f"{len(cars)} of them", f"1 to {MOST_CARS}"))
    twice = sorted({car for car in cars if list(cars).count(car) > 1})
    if twice:
        problems.append(Problem("cars", f"{twice[0]!r} twice", "each car once", "name it once"))
    if not 1 <= runs_each <= MOST_RUNS_EACH:
        problems.append(Problem("runs", str(runs_each), f"1 to {MOST_RUNS_EACH} of each car"))
    if not 1 <= lanes <= 20:
        problems.append(Problem("lanes", str(lanes), "1 to 20"))
    if problems:
        raise InvalidInput(problems)
