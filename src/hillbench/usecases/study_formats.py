"""Answer what each format of a meet would tell about the cars."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.pictures.formats import rank_error_picture, wins_picture
from hillbench.pictures.report import sheet
from hillbench.racing.field import Field
from hillbench.racing.study import FormatFigures, meets_for, study_formats
from hillbench.usecases.spread_work import spread_work

MOST_MEETS: Final = 100_000
MOST_SEASON_MEETS: Final = 50
MOST_PROCESSES: Final = 64
_AT_ONCE: Final = 2000
"""Seasons of one piece of work; its randomness is its own, wherever it runs."""


@dataclass(frozen=True, slots=True)
class FormatAnswer:
    """What one format would tell.

    Attributes
    ----------
    name
        The format.
    fastest_wins, fastest_wins_error
        Chance that the fastest car wins, and its standard error.
    mean_rank_error
        How many places a car ends from its true one, on average.
    car_runs, heats, minutes
        What it takes, on average.
    needs_timer
        Whether it needs a timer.
    """

    name: str
    fastest_wins: float
    fastest_wins_error: float
    mean_rank_error: float
    car_runs: float
    heats: float
    minutes: float
    needs_timer: bool


@dataclass(frozen=True, slots=True)
class FormatsAnswer:
    """What formats would tell, side by side.

    Attributes
    ----------
    sentence
        The main finding.
    field
        What was assumed.
    meets
        Invented meets for each format; seasons where `season_meets` is more than 1.
    season_meets
        Meets of a season.
    formats
        The formats.
    """

    sentence: str
    field: Field
    meets: int
    season_meets: int
    formats: tuple[FormatAnswer, ...]


@dataclass(frozen=True, slots=True)
class Studied:
    """Formats studied: the answer, and the figures that pictures are drawn from."""

    answer: FormatsAnswer
    figures: tuple[FormatFigures, ...]


def compare_formats(
    field: Field,
    seed: int = 64,
    meets: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    *,
    season_meets: int = 1,
    processes: int = 1,
    cluster: str | None = None,
) -> Studied:
    """Return what each format that can be run would tell.

    Parameters
    ----------
    field
        Cars, lanes and spreads.
    seed
        The same seed gives the same answer; 0 or more.
    meets
        Invented meets for each format, 100 to 100,000; enough for about 1.5 % by default.
    progress
        Called with what is done and how much there is.
    season_meets
        Meets of a season, 1 to 50; from 2 on the season is judged, by the sum of places.
    processes
        How many processes share a large study, 1 to 64; the answer is the same.
    cluster
        Address of a Dask scheduler that does the work; None for this computer.

    Raises
    ------
    InvalidInput
        For a number that is not allowed, or a cluster that does not answer.
    """
    require_allowed(meets, season_meets, processes)
    count = meets or max(100, meets_for(field) // season_meets)
    pieces = _pieces(count, seed)
    if len(pieces) == 1:
        figures = _study(_Piece(field, season_meets, *pieces[0]), progress)
    else:
        jobs = [_Piece(field, season_meets, *piece) for piece in pieces]
        parts = spread_work(_study, jobs, processes=processes, cluster=cluster, progress=progress)
        figures = tuple(
            _pooled(same, [one for one, _ in pieces]) for same in zip(*parts, strict=True)
        )
    formats = tuple(_answer_of(one) for one in figures)
    sentence = _sentence(figures, season_meets)
    return Studied(FormatsAnswer(sentence, field, count, season_meets, formats), figures)


@dataclass(frozen=True, slots=True)
class _Piece:
    """A piece of a study that can be done anywhere."""

    field: Field
    season_meets: int
    count: int
    seed: int | np.random.SeedSequence


def _pieces(count: int, seed: int) -> list[tuple[int, int | np.random.SeedSequence]]:
    if count <= _AT_ONCE:
        return [(count, seed)]
    sizes = [_AT_ONCE] * (count // _AT_ONCE) + [count % _AT_ONCE]
    sizes = [size for size in sizes if size]
    return list(zip(sizes, np.random.SeedSequence(seed).spawn(len(sizes)), strict=True))


def _study(
    piece: _Piece, progress: Callable[[int, int], None] | None = None
) -> tuple[FormatFigures, ...]:
    rng = np.random.default_rng(piece.seed)
    return study_formats(
        piece.field, rng=rng, meets=piece.count, season_meets=piece.season_meets, progress=progress
    )


def _pooled(parts: tuple[FormatFigures, ...], counts: list[int]) -> FormatFigures:
    """Return the figures of one format over all pieces, each by its number of seasons."""
    weights = np.array(counts) / sum(counts)

    def mean(name: str) -> float:
        return float(weights @ [getattr(part, name) for part in parts])

    def error(name: str) -> float:
        return float(np.sqrt(weights**2 @ [getattr(part, name) ** 2 for part in parts]))

    return replace(
        parts[0],
        fastest_wins=mean("fastest_wins"),
        fastest_wins_error=error("fastest_wins_error"),
        mean_rank_error=mean("mean_rank_error"),
        mean_rank_error_error=error("mean_rank_error_error"),
        car_runs=mean("car_runs"),
        heats=mean("heats"),
        minutes=mean("minutes"),
    )


def require_allowed(meets: int | None, season_meets: int, processes: int = 1) -> None:
    """Raise `InvalidInput` for numbers of `compare_formats` that are not allowed."""
    limits = {
        "meets": (100 if meets is None else meets, 100, MOST_MEETS),
        "season_meets": (season_meets, 1, MOST_SEASON_MEETS),
        "processes": (processes, 1, MOST_PROCESSES),
    }
    problems = [
        Problem(name, str(value), f"{low} to {high}")
        for name, (value, low, high) in limits.items()
        if not low <= value <= high
    ]
    if problems:
        raise InvalidInput(problems)


def formats_sheet(studied: Studied) -> str:
    """Return a file of its own with the formats side by side, as SVG."""
    sentence = studied.answer.sentence
    parts = (
        (
            "Chance that the fastest car wins",
            wins_picture(studied.figures, sentence, standalone=True),
        ),
        ("Errors of rank", rank_error_picture(studied.figures, sentence, standalone=True)),
    )
    return sheet("What formats tell", sentence, parts)


def _answer_of(one: FormatFigures) -> FormatAnswer:
    return FormatAnswer(
        str(one.format),
        one.fastest_wins,
        one.fastest_wins_error,
        one.mean_rank_error,
        one.car_runs,
        one.heats,
        one.minutes,
        one.needs_timer,
    )


def _sentence(figures: tuple[FormatFigures, ...], season_meets: int) -> str:
    best = max(figures, key=lambda one: one.fastest_wins)
    what = f"a season of {season_meets} meets" if season_meets > 1 else "a meet"
    share = f"{100 * best.fastest_wins:.0f} %"
    text = f"The fastest car wins {what} {share} of the time with {best.format}"
    untimed = [one for one in figures if not one.needs_timer]
    if untimed and best.needs_timer:
        other = max(untimed, key=lambda one: one.fastest_wins)
        text += f"; without a timer {100 * other.fastest_wins:.0f} % with {other.format}"
    return f"{text}."
