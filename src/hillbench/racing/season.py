"""A season: points tables, dropped meets, gaps to the median, absences."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median

from hillbench.errors import InvalidInput, Problem


class SeasonScore(StrEnum):
    """What a season is scored by."""

    POINTS = "points"
    GAP = "gap to the median"


class Absence(StrEnum):
    """What an absence counts for."""

    NOTHING = "nothing"
    AVERAGE = "the average of the meets attended"


@dataclass(frozen=True, slots=True)
class SeasonRule:
    """How a season is scored.

    Attributes
    ----------
    score
        Points for places, or how far from the median car, in percent of its time.
    points
        For places at a meet, from the first; later places get the last of them if it is for
        taking part, see `taking_part`.
    taking_part
        Points for a car that ran and got none for its place.
    drop
        Meets dropped, the worst ones; an absence is the worst there is.
    absence
        What an absence counts for.
    least_meets
        Meets a car must have run to be placed.
    """

    score: SeasonScore = SeasonScore.POINTS
    points: tuple[float, ...] = (25.0, 18.0, 15.0, 12.0, 10.0, 8.0, 6.0, 4.0, 2.0, 1.0)
    taking_part: float = 0.0
    drop: int = 0
    absence: Absence = Absence.NOTHING
    least_meets: int = 1

    def __post_init__(self) -> None:
        problems = []
        if not self.points or list(self.points) != sorted(self.points, reverse=True):
            allowed = "one or more, none greater for a worse place"
            problems.append(Problem("points", str(list(self.points)), allowed))
        if not all(math.isfinite(one) and 0.0 <= one <= 1e6 for one in self.points):
            problems.append(Problem("points", str(list(self.points)), "0 to a million"))
        for name, value, least in (("drop", self.drop, 0), ("least_meets", self.least_meets, 1)):
            if not least <= value <= 100:
                problems.append(Problem(name, str(value), f"{least} to 100"))
        if problems:
            raise InvalidInput(problems)


@dataclass(frozen=True, slots=True)
class MeetOutcome:
    """One meet of a season.

    Attributes
    ----------
    name
        Of the meet.
    places
        Official place of each car that ran; equal cars share one.
    times_s
        Typical time of each car, s; empty where no times were taken.
    """

    name: str
    places: Mapping[str, int]
    times_s: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class SeasonPlace:
    """One car in the season.

    Attributes
    ----------
    place
        Its place; equal cars share one; None with too few meets.
    car
        The car.
    total
        Points, or mean gap in percent; None with too few meets.
    scores
        By meet; None where it was absent.
    dropped
        Meets dropped, by place in `scores`.
    wins
        Meets won.
    """

    place: int | None
    car: str
    total: float | None
    scores: tuple[float | None, ...]
    dropped: tuple[int, ...]
    wins: int


def rank_season(meets: Sequence[MeetOutcome], rule: SeasonRule) -> tuple[SeasonPlace, ...]:
    """Return the standings of a season.

    Parameters
    ----------
    meets
        In the order held.
    rule
        How it is scored.

    Notes
    -----
    Cars that share places share the points of all of them. Equal totals are split by meets
    won, then by the best place, then by how often it was reached. Gaps are in percent of the
    median car's time, so that tracks of different length count alike; their mean is taken
    over the meets attended, since a gap that was never run cannot be added up.
    """
    scored = [_scores(meet, rule) for meet in meets]
    cars = sorted({car for scores in scored for car in scores})
    lines = [_line(car, meets, scored, rule) for car in cars]
    placed = sorted((line for line in lines if line.total is not None), key=_key(meets, rule))
    found = []
    keys = [_key(meets, rule)(line) for line in placed]
    for line, key in zip(placed, keys, strict=True):
        found.append(_with_place(line, keys.index(key) + 1))
    unplaced = [line for line in lines if line.total is None]
    return (*found, *unplaced)


def points_for(places: Mapping[str, int], rule: SeasonRule) -> dict[str, float]:
    """Return the points of each car; cars that share a place share its points and the next."""
    found = {}
    for car, place in places.items():
        equal = sum(other == place for other in places.values())
        shared = [_points(rule, taken) for taken in range(place, place + equal)]
        found[car] = math.fsum(shared) / equal
    return found


def _points(rule: SeasonRule, place: int) -> float:
    return rule.points[place - 1] if place <= len(rule.points) else rule.taking_part


def _scores(meet: MeetOutcome, rule: SeasonRule) -> dict[str, float]:
    if rule.score is SeasonScore.POINTS:
        return points_for(meet.places, rule)
    if not meet.times_s:
        return {}
    middle_s = median(meet.times_s.values())
    return {car: 100.0 * (time_s - middle_s) / middle_s for car, time_s in meet.times_s.items()}


def _line(
    car: str, meets: Sequence[MeetOutcome], scored: Sequence[Mapping[str, float]], rule: SeasonRule
) -> SeasonPlace:
    scores = tuple(scores.get(car) for scores in scored)
    wins = sum(meet.places.get(car) == 1 for meet in meets)
    had = [score for score in scores if score is not None]
    points = rule.score is SeasonScore.POINTS
    order = sorted(
        range(len(scores)),
        key=lambda at: (
            scores[at] is not None,
            (scores[at] or 0.0) if points else -(scores[at] or 0.0),
        ),
    )
    # At least one meet always counts.
    dropped = tuple(sorted(order[: min(rule.drop, max(len(scores) - 1, 0))]))
    kept = [scores[at] for at in range(len(scores)) if at not in dropped]
    if len(had) < rule.least_meets:
        return SeasonPlace(None, car, None, scores, dropped, wins)
    return SeasonPlace(None, car, _total(kept, had, rule), scores, dropped, wins)


def _total(kept: Sequence[float | None], had: Sequence[float], rule: SeasonRule) -> float | None:
    ran = [score for score in kept if score is not None]
    if rule.score is SeasonScore.GAP:
        return math.fsum(ran) / len(ran) if ran else None
    missing = len(kept) - len(ran)
    mean = math.fsum(had) / len(had) if rule.absence is Absence.AVERAGE else 0.0
    return math.fsum(ran) + missing * mean


def _key(
    meets: Sequence[MeetOutcome], rule: SeasonRule
) -> Callable[[SeasonPlace], tuple[float, ...]]:
    def key(line: SeasonPlace) -> tuple[float, ...]:
        total = line.total or 0.0
        places = sorted(meet.places[line.car] for meet in meets if line.car in meet.places)
        best = places[0] if places else 1_000
        better = -total if rule.score is SeasonScore.POINTS else total
        return round(better, 9), -line.wins, best, -places.count(best)

    return key


def _with_place(line: SeasonPlace, place: int) -> SeasonPlace:
    return SeasonPlace(place, line.car, line.total, line.scores, line.dropped, line.wins)
