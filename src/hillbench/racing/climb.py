"""A ladder while it is climbed: who has won what, and who meets next."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from hillbench.racing.format import Format
from hillbench.racing.ladder import (
    Ladder,
    Match,
    Part,
    Seed,
    Source,
    WinnerOf,
    build_ladder,
    champion,
    next_matches,
)
from hillbench.racing.meet_state import STAGE_LADDER, MeetHeat, MeetState
from hillbench.racing.pairs import winner_of


@lru_cache(maxsize=64)
def _ladder(cars: int, lives: int) -> Ladder:
    return build_ladder(cars, lives)


def ladder_of(state: MeetState) -> Ladder | None:
    """Return the ladder of a meet; None before it is drawn."""
    if not state.seeds:
        return None
    return _ladder(len(state.seeds), 2 if state.settings.format is Format.DOUBLE else 1)


def best_of(state: MeetState) -> int:
    """Return how many races a match of the ladder has at most."""
    return 3 if state.settings.format is Format.SINGLE_OF_THREE else 1


def heat_winner(heat: MeetHeat) -> int | None:
    """Return the car that won a heat; None for a dead heat or where nobody finished."""
    finished = sorted(
        (row.time_s if row.time_s is not None else float(row.place or 0), row.car)
        for row in heat.rows.values()
        if row.finished
    )
    if not finished or (len(finished) > 1 and finished[0][0] == finished[1][0]):
        return None
    return finished[0][1]


def races_by_match(state: MeetState) -> dict[int, list[MeetHeat]]:
    """Return the heats of each match that are done, in the order started."""
    found: dict[int, list[MeetHeat]] = {}
    for heat in state.heats.values():
        if heat.stage == STAGE_LADDER and heat.match is not None and heat.done:
            found.setdefault(heat.match, []).append(heat)
    return found


def winners(state: MeetState) -> dict[int, int]:
    """Return the winner's seed of each match that is decided.

    Where one of the two has withdrawn the other goes on without a race; where both have, the
    better seed does, and loses its next match in the same way.
    """
    ladder = ladder_of(state)
    if ladder is None:
        return {}
    races = races_by_match(state)
    seed_of = {car: place for place, car in enumerate(state.seeds, start=1)}
    out = {
        seed
        for car, seed in seed_of.items()
        if car in state.entries and state.entries[car].withdrawn
    }
    won: dict[int, int] = {}
    moved = True
    while moved:
        moved = False
        for match, first, second in next_matches(ladder, won):
            found = _winner(races.get(match.number, []), seed_of, best_of(state))
            if found is None and (first in out or second in out):
                found = (
                    min(first, second) if {first, second} <= out else ({first, second} - out).pop()
                )
            if found is not None:
                won[match.number] = found
                moved = True
    return won


def _winner(races: list[MeetHeat], seed_of: dict[int, int], most: int) -> int | None:
    cars = [car for heat in races if (car := heat_winner(heat)) is not None]
    found = winner_of(cars, most)
    return None if found is None else seed_of[found]


def open_matches(state: MeetState) -> Iterator[tuple[Match, int, int, int]]:
    """Yield matches that can be run now: the match, its two cars, and the number of its race."""
    ladder = ladder_of(state)
    if ladder is None:
        return
    races = races_by_match(state)
    for match, first, second in next_matches(ladder, winners(state)):
        cars = (state.seeds[first - 1], state.seeds[second - 1])
        yield match, *cars, len(races.get(match.number, []))


def champion_car(state: MeetState) -> int | None:
    """Return the car that has won the ladder; None before that."""
    ladder = ladder_of(state)
    seed = None if ladder is None else champion(ladder, winners(state))
    return None if seed is None else state.seeds[seed - 1]


def ladder_order(state: MeetState) -> list[list[int]]:
    """Return the cars of the ladder in groups, best first: those still in, then as they fell."""
    ladder = ladder_of(state)
    if ladder is None:
        return []
    won = winners(state)
    fell: dict[int, tuple[int, int]] = {}
    for match in ladder.matches:
        loser = _loser(ladder, match, won)
        if loser is not None:
            fell[loser] = _level(match)
    top = champion(ladder, won)
    losses = _losses(ladder, won)
    still = [seed for seed in range(1, ladder.cars + 1) if losses.get(seed, 0) < ladder.lives]
    if top is not None:
        still = [top]
    groups: dict[tuple[int, int], list[int]] = {}
    for seed in range(1, ladder.cars + 1):
        if seed not in still:
            groups.setdefault(fell[seed], []).append(seed)
    ordered = [still, *(groups[key] for key in sorted(groups, reverse=True))]
    return [[state.seeds[seed - 1] for seed in group] for group in ordered if group]


def _level(match: Match) -> tuple[int, int]:
    """Return how far up the ladder a match stands; whoever falls there is placed by it."""
    parts = {Part.UPPER: 0, Part.LOWER: 0, Part.FINAL: 1, Part.SECOND_FINAL: 2}
    return parts[match.part], match.step


def _losses(ladder: Ladder, won: dict[int, int]) -> dict[int, int]:
    found: dict[int, int] = {}
    for match in ladder.matches:
        loser = _loser(ladder, match, won)
        if loser is not None:
            found[loser] = found.get(loser, 0) + 1
    return found


def _loser(ladder: Ladder, match: Match, won: dict[int, int]) -> int | None:
    if match.number not in won:
        return None
    sides = [_side(ladder, source, won) for source in (match.first, match.second)]
    return next((side for side in sides if side is not None and side != won[match.number]), None)


def _side(ladder: Ladder, source: Source, won: dict[int, int]) -> int | None:
    if isinstance(source, Seed):
        return source.place
    if isinstance(source, WinnerOf):
        return won.get(source.match)
    return _loser(ladder, ladder.matches[source.match], won)
