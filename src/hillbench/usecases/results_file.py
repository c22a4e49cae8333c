"""Rank the cars of a meet from a table of its runs: officially, and by what the times say."""

from __future__ import annotations

import difflib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.pictures.meet import LIKELY, CarGap
from hillbench.racing.heat_time import HeatTime
from hillbench.racing.official import OfficialPlace, Rule, Score, TieBreak, rank_by_rule
from hillbench.racing.timed_result import Standing, rank_by_time
from hillbench.timing.table import decode, split
from hillbench.timing.time_text import parse_time, says_nothing, says_unfinished
from hillbench.usecases.tell_results import told_chance

SEED: Final = 64
_NEEDED: Final = ("heat", "lane", "car", "time_s")
_KNOWN: Final = (*_NEEDED, "note", "void", "stage", "place", "number", "corrected")


@dataclass(frozen=True, slots=True)
class CarAnswer:
    """One car.

    Attributes
    ----------
    place, score, missing, split_by
        Officially, as in `hillbench.racing.official.OfficialPlace`; no score where runs miss.
    car
        Its name.
    model_place, typical_time_s, standard_uncertainty_s, fastest_probability
        By the times, as in `hillbench.racing.timed_result.Standing`.
    runs, no_finishes, best_time_s
        What it ran.
    """

    place: int
    car: str
    score: float | None
    missing: int
    split_by: str
    model_place: int
    typical_time_s: float | None
    standard_uncertainty_s: float | None
    fastest_probability: float
    runs: int
    no_finishes: int
    best_time_s: float | None


@dataclass(frozen=True, slots=True)
class LaneAnswer:
    """What a run takes longer on a lane, with its 90 % interval, s."""

    lane: int
    slower_s: float
    low_s: float
    high_s: float
    differs: bool


@dataclass(frozen=True, slots=True)
class OddRow:
    """A run far from what the times of the meet lead one to expect."""

    row: int
    car: str
    heat: int
    time_s: float


@dataclass(frozen=True, slots=True)
class ResultsAnswer:
    """The results of a meet.

    Attributes
    ----------
    sentence
        Who won, and how sure it is that the fastest car did.
    rule
        The score of the official ranking.
    cars
        In the official order.
    lanes
        Lane by lane.
    run_sd_s, lane_sd_s, heat_sd_s
        Spread of a car's runs, of the lanes and of the heats, s.
    odd_runs
        Runs that stand out.
    """

    sentence: str
    rule: str
    cars: tuple[CarAnswer, ...]
    lanes: tuple[LaneAnswer, ...]
    run_sd_s: float
    lane_sd_s: float
    heat_sd_s: float
    odd_runs: tuple[OddRow, ...]


@dataclass(frozen=True, slots=True)
class MeetTable:
    """The runs of a meet as read: rows with their lines, and the names of the cars by number."""

    rows: tuple[HeatTime, ...]
    lines: tuple[int, ...]
    names: tuple[str, ...]


def read_meet_table(data: bytes) -> MeetTable:
    """Return the runs of a meet.

    Parameters
    ----------
    data
        A table with the columns heat, lane, car and time_s, and if there are any note and void;
        further columns of an exported meet may be there. Without a time, the run had no finish.

    Raises
    ------
    InvalidInput
        If a column is missing or unknown, or a row cannot be used: each is named with its line.
    """
    (_, heading), *rows = split(decode(data))
    place = _columns(heading)
    problems: list[Problem] = []
    names: dict[str, int] = {}
    found: list[HeatTime] = []
    for line, cells in rows:
        try:
            found.append(_row(line, [*cells, *[""] * len(heading)], place, names))
        except InvalidInput as error:
            problems += error.problems
    if problems:
        raise InvalidInput(problems)
    return MeetTable(tuple(found), tuple(line for line, _ in rows), tuple(names))


def rank_meet(table: MeetTable, rule: Rule) -> ResultsAnswer:
    """Return the results of a meet.

    Raises
    ------
    InvalidInput
        If the rule is none, or fewer than two cars or three runs have a time.
    """
    timed = rank_by_time(table.rows, rng=np.random.default_rng(SEED))
    standing = {one.car: one for one in timed.standings}
    cars = tuple(
        _car(table.names[one.car - 1], one, standing[one.car])
        for one in rank_by_rule(table.rows, rule)
    )
    return ResultsAnswer(
        sentence=_sentence(cars),
        rule=str(rule.score),
        cars=cars,
        lanes=tuple(
            LaneAnswer(one.lane, one.slower_s, one.low_s, one.high_s, one.differs)
            for one in timed.lanes
        ),
        run_sd_s=timed.run_sd_s,
        lane_sd_s=timed.lane_sd_s,
        heat_sd_s=timed.heat_sd_s,
        odd_runs=tuple(
            OddRow(table.lines[at], table.names[row.car - 1], row.heat, row.time_s or 0.0)
            for at in timed.odd_runs
            for row in [table.rows[at]]
        ),
    )


def rule_from_words(score: str, ties: Sequence[str], drop: int, points: Sequence[float]) -> Rule:
    """Return a club's rule.

    Raises
    ------
    InvalidInput
        If a score or a way to break ties is unknown.
    """
    problems = [
        Problem(where, repr(word), "one of: " + ", ".join(allowed))
        for where, words, allowed in (
            ("score", [score], [str(one) for one in Score]),
            ("ties", ties, [str(one) for one in TieBreak]),
        )
        for word in words
        if word not in allowed
    ]
    if problems:
        raise InvalidInput(problems)
    return Rule(Score(score), tuple(TieBreak(word) for word in ties), drop, tuple(points))


def _columns(heading: Sequence[str]) -> dict[str, int]:
    place = {name.strip().casefold(): at for at, name in enumerate(heading)}
    problems = []
    for name in place:
        if name and name not in _KNOWN:
            near = difflib.get_close_matches(name, _KNOWN, n=1, cutoff=0.0)[0]
            allowed = ", ".join(_KNOWN)
            problems.append(Problem("heading", repr(name), allowed, f"did you mean {near!r}?"))
    missing = [name for name in _NEEDED if name not in place]
    if missing:
        seen = f"without {', '.join(missing)}"
        problems.append(Problem("heading", seen, "the columns " + ", ".join(_NEEDED)))
    if problems:
        raise InvalidInput(problems)
    return place


def _row(line: int, cells: Sequence[str], place: dict[str, int], names: dict[str, int]) -> HeatTime:
    where = f"row {line}"
    car = cells[place["car"]]
    if not car:
        raise InvalidInput([Problem(f"{where}, car", "empty", "the name of a car", "add it")])
    typed = cells[place["time_s"]]
    unfinished = says_nothing(typed) or says_unfinished(typed)
    void = "void" in place and cells[place["void"]].casefold() not in ("", "no", "false", "0")
    return HeatTime(
        _number(cells[place["heat"]], f"{where}, heat"),
        _number(cells[place["lane"]] or "1", f"{where}, lane"),
        names.setdefault(car, len(names) + 1),
        None if unfinished else parse_time(typed, f"{where}, time_s"),
        void,
    )


def _number(text: str, where: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 100_000):
        raise InvalidInput([Problem(where, repr(text[:20]), "a whole number from 1", "correct it")])
    return int(text)


def _car(name: str, one: OfficialPlace, standing: Standing) -> CarAnswer:
    return CarAnswer(
        place=one.place,
        car=name,
        score=one.score if math.isfinite(one.score) else None,
        missing=one.missing,
        split_by="" if one.split_by is None else str(one.split_by),
        model_place=standing.place,
        typical_time_s=standing.typical_time_s,
        standard_uncertainty_s=standing.standard_uncertainty_s,
        fastest_probability=standing.fastest_probability,
        runs=standing.runs,
        no_finishes=standing.no_finishes,
        best_time_s=standing.best_time_s,
    )


def _sentence(cars: Sequence[CarAnswer]) -> str:
    first = [one.car for one in cars if one.place == 1]
    best = max(cars, key=lambda one: one.fastest_probability)
    chance = told_chance(best.fastest_probability)
    if len(first) > 1:
        lead = f"{', '.join(first[:-1])} and {first[-1]} tie"
    else:
        lead = f"{first[0]} wins"
        if first[0] == best.car:
            return f"{lead}, and is the fastest car with {chance} probability."
    return f"{lead}; the fastest car is {best.car} with {chance} probability."


def gaps_of(answer: ResultsAnswer) -> list[CarGap]:
    """Return each timed car by the model, the fastest first, with what it is behind that one."""
    timed = sorted(
        (one.typical_time_s, one.car, one.standard_uncertainty_s or 0.0, one.fastest_probability)
        for one in answer.cars
        if one.typical_time_s is not None
    )
    return [
        CarGap(car, time_s - timed[0][0], sd_s, chance >= LIKELY)
        for time_s, car, sd_s, chance in timed
    ]
