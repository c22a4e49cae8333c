"""The ranking that a club's own rule gives, with ties broken by a stated chain."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.heat_time import HeatTime


class Score(StrEnum):
    """What a car is scored by; less is better but for points."""

    SUM = "sum"
    MEAN = "mean"
    DROP_WORST = "drop worst"
    BEST = "best"
    POINTS = "points"


class TieBreak(StrEnum):
    """What splits cars with the same score."""

    BEST_TIME = "best time"
    SECOND_BEST_TIME = "second best time"
    MOST_WINS = "most heats won"
    HEAD_TO_HEAD = "heats won against each other"


@dataclass(frozen=True, slots=True)
class Rule:
    """How a club ranks.

    Attributes
    ----------
    score
        What is counted.
    ties
        What splits equal scores, in this order; cars still equal share the place.
    drop
        Runs dropped by `drop worst`; a run without a finish is the worst there is.
    points
        Points for places in a heat, from the first; later places get none.
    """

    score: Score = Score.SUM
    ties: tuple[TieBreak, ...] = (TieBreak.BEST_TIME, TieBreak.SECOND_BEST_TIME)
    drop: int = 1
    points: tuple[float, ...] = (4.0, 3.0, 2.0, 1.0)


@dataclass(frozen=True, slots=True)
class OfficialPlace:
    """One car in the official ranking.

    Attributes
    ----------
    place
        Its place; equal cars share one.
    car
        Number of the car.
    score
        What the rule gives, s or points; infinite where a run that counts has no time.
    missing
        Runs that it lacks to what the rule asks for; such cars stand behind all others.
    split_by
        What told it from a car of the same score; None where nothing had to.
    """

    place: int
    car: int
    score: float
    missing: int
    split_by: TieBreak | None = None


@dataclass(slots=True)
class _Record:
    times: list[float] = field(default_factory=list)
    unfinished: int = 0
    wins: int = 0
    points: float = 0.0
    beaten: dict[int, int] = field(default_factory=dict)


def rank_by_rule(rows: Sequence[HeatTime], rule: Rule) -> tuple[OfficialPlace, ...]:
    """Return the official ranking.

    Parameters
    ----------
    rows
        What each car did in each heat; void rows do not count.
    rule
        The club's rule.

    Raises
    ------
    InvalidInput
        If the rule drops a negative number of runs or gives a worse place more points.

    Notes
    -----
    Times are summed and averaged only over complete sets: a car that lacks finished runs the
    rule needs stands behind those that have them, by how many it lacks. Equal times in a heat
    share the points of their places.
    """
    _check(rule)
    records = _records(rows, rule)
    entered = max((len(r.times) + r.unfinished for r in records.values()), default=0)
    asked = _asked(rule, entered)
    scored = {car: _score(record, rule, asked) for car, record in records.items()}
    groups: dict[tuple[float, ...], list[int]] = {}
    for car, (missing, score) in scored.items():
        better = -score if rule.score is Score.POINTS else score
        groups.setdefault((missing, round(better, 9)), []).append(car)
    found: list[OfficialPlace] = []
    for key in sorted(groups):
        for tied, split_by in _split(sorted(groups[key]), records, rule.ties):
            place = len(found) + 1
            found += [
                OfficialPlace(place, car, scored[car][1], int(key[0]), split_by) for car in tied
            ]
    return tuple(found)


def _check(rule: Rule) -> None:
    problems = []
    if rule.drop < 0:
        problems.append(Problem("drop", str(rule.drop), "0 or more"))
    if list(rule.points) != sorted(rule.points, reverse=True):
        problems.append(Problem("points", str(list(rule.points)), "no more for a worse place"))
    if problems:
        raise InvalidInput(problems)


def _records(rows: Sequence[HeatTime], rule: Rule) -> dict[int, _Record]:
    records: dict[int, _Record] = {}
    heats: dict[int, list[HeatTime]] = {}
    for row in rows:
        record = records.setdefault(row.car, _Record())
        if row.void:
            continue
        heats.setdefault(row.heat, []).append(row)
        if row.time_s is None:
            record.unfinished += 1
        else:
            record.times.append(row.time_s)
    for record in records.values():
        record.times.sort()
    for heat in heats.values():
        _score_heat(heat, records, rule)
    return records


def _score_heat(heat: Sequence[HeatTime], records: dict[int, _Record], rule: Rule) -> None:
    finished = [(row.time_s, row.car) for row in heat if row.time_s is not None]
    for time_s, car in finished:
        faster = sum(other < time_s for other, _ in finished)
        equal = sum(other == time_s for other, _ in finished)
        shared = [rule.points[p] for p in range(faster, faster + equal) if p < len(rule.points)]
        records[car].points += sum(shared) / equal
        records[car].wins += faster == 0 and equal == 1
        for row in heat:
            if row.time_s is None or row.time_s > time_s:
                beaten = records[car].beaten
                beaten[row.car] = beaten.get(row.car, 0) + 1


def _asked(rule: Rule, entered: int) -> int:
    """Return the finished runs that the rule needs of each car."""
    if rule.score is Score.POINTS:
        return 0
    if rule.score is Score.BEST:
        return 1
    return max(entered - rule.drop, 1) if rule.score is Score.DROP_WORST else entered


def _score(record: _Record, rule: Rule, asked: int) -> tuple[int, float]:
    """Return runs missing and the score."""
    if rule.score is Score.POINTS:
        return 0, record.points
    missing = max(asked - len(record.times), 0)
    if missing:
        return missing, math.inf
    counted = record.times[:asked]
    return 0, math.fsum(counted) / (asked if rule.score is Score.MEAN else 1)


def _split(
    tied: Sequence[int], records: dict[int, _Record], chain: Sequence[TieBreak]
) -> list[tuple[list[int], TieBreak | None]]:
    """Return the tied cars in groups that nothing splits, best first, and what split them."""
    if len(tied) == 1 or not chain:
        return [(list(tied), None)]
    keys: dict[float, list[int]] = {}
    for car in tied:
        keys.setdefault(_tie_key(car, tied, records, chain[0]), []).append(car)
    found: list[tuple[list[int], TieBreak | None]] = []
    for key in sorted(keys):
        for group, split_by in _split(keys[key], records, chain[1:]):
            found.append((group, split_by or (chain[0] if len(keys) > 1 else None)))
    return found


def _tie_key(car: int, tied: Sequence[int], records: dict[int, _Record], by: TieBreak) -> float:
    record = records[car]
    if by is TieBreak.MOST_WINS:
        return -float(record.wins)
    if by is TieBreak.HEAD_TO_HEAD:
        return -float(sum(record.beaten.get(other, 0) for other in tied))
    place = 0 if by is TieBreak.BEST_TIME else 1
    return record.times[place] if len(record.times) > place else math.inf
