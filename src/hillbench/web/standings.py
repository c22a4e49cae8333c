"""Standings and ladder of a meet as they are shown."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.racing.climb import champion_car, ladder_of, winners
from hillbench.racing.ladder import LoserOf, Match, Part, Seed, WinnerOf
from hillbench.usecases.read_meet import MeetView
from hillbench.usecases.tell_score import told_score


@dataclass(frozen=True, slots=True)
class StandingLine:
    """One car in the standings.

    Attributes
    ----------
    place, car, name, owner
        Place in words, number, name and owner.
    told
        Its score, in words; empty for none.
    runs
        How many runs it has.
    """

    place: str
    car: int
    name: str
    owner: str
    told: str
    runs: int


@dataclass(frozen=True, slots=True)
class LadderMatch:
    """One match of the ladder.

    Attributes
    ----------
    first, second
        Names of the cars, or where they come from.
    winner
        Name of the winner; empty while it is open.
    """

    first: str
    second: str
    winner: str


@dataclass(frozen=True, slots=True)
class LadderRound:
    """The matches of one round of the ladder.

    Attributes
    ----------
    title
        What the round is called.
    matches
        In order.
    """

    title: str
    matches: tuple[LadderMatch, ...]


def standing_lines(view: MeetView) -> tuple[StandingLine, ...]:
    """Return the standings as they are shown."""
    runs: dict[int, int] = {}
    for heat in view.state.heats.values():
        for row in heat.rows.values():
            runs[row.car] = runs.get(row.car, 0) + 1
    undecided = bool(view.state.seeds) and champion_car(view.state) is None
    found = []
    for one in view.places:
        entry = view.state.entries[one.car]
        place = "" if one.place is None else f"{one.place}"
        if undecided and one.place == 1:
            place = "in"
        told = "withdrawn" if entry.withdrawn else told_score(view.state, one.score, one.missing)
        found.append(
            StandingLine(place, one.car, entry.name, entry.owner, told, runs.get(one.car, 0))
        )
    return tuple(found)


def ladder_rounds(view: MeetView) -> tuple[LadderRound, ...]:
    """Return the ladder round by round; empty where there is none."""
    state = view.state
    ladder = ladder_of(state)
    if ladder is None:
        return ()
    won = winners(state)
    rounds: dict[str, list[LadderMatch]] = {}
    for match in ladder.matches:
        sides = [_side(view, source, won) for source in (match.first, match.second)]
        winner = won.get(match.number)
        name = "" if winner is None else view.name(state.seeds[winner - 1])
        if match.part is Part.SECOND_FINAL and winner is None and sides[0] == sides[1]:
            continue
        title = _round(match, ladder.lives, last=match is ladder.matches[-1])
        rounds.setdefault(title, []).append(LadderMatch(sides[0], sides[1], name))
    return tuple(LadderRound(title, tuple(matches)) for title, matches in rounds.items())


def _side(view: MeetView, source: Seed | WinnerOf | LoserOf, won: dict[int, int]) -> str:
    state = view.state
    if isinstance(source, Seed):
        return view.name(state.seeds[source.place - 1])
    winner = won.get(source.match)
    if isinstance(source, WinnerOf):
        return "" if winner is None else view.name(state.seeds[winner - 1])
    ladder = ladder_of(state)
    if winner is None or ladder is None:
        return ""
    match = ladder.matches[source.match]
    sides = [_side(view, one, won) for one in (match.first, match.second)]
    name = view.name(state.seeds[winner - 1])
    return sides[0] if name == sides[1] else sides[1]


def _round(match: Match, lives: int, *, last: bool) -> str:
    if match.part is Part.FINAL or (lives == 1 and last):
        return "Final"
    if match.part is Part.SECOND_FINAL:
        return "Deciding final"
    return f"Round {match.step}" if match.part is Part.UPPER else f"Second chance {match.step}"
