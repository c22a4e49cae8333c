"""Answer what each format of a meet would tell about the cars."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.pictures.formats import rank_error_picture, wins_picture
from hillbench.pictures.report import sheet
from hillbench.racing.field import Field
from hillbench.racing.study import FormatFigures, meets_for, study_formats

MOST_MEETS = 100_000


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
        Invented meets for each format.
    formats
        The formats.
    """

    sentence: str
    field: Field
    meets: int
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
        Called with formats done and their number.

    Raises
    ------
    InvalidInput
        For a number of meets that is not allowed.
    """
    if meets is not None and not 100 <= meets <= MOST_MEETS:
        raise InvalidInput([Problem("meets", str(meets), f"100 to {MOST_MEETS}")])
    count = meets or meets_for(field)
    rng = np.random.default_rng(seed)
    figures = study_formats(field, rng=rng, meets=count, progress=progress)
    formats = tuple(_answer_of(one) for one in figures)
    return Studied(FormatsAnswer(_sentence(figures), field, count, formats), figures)


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


def _sentence(figures: tuple[FormatFigures, ...]) -> str:
    best = max(figures, key=lambda one: one.fastest_wins)
    text = f"The fastest car wins {best.fastest_wins:.0%} of the time with {best.format}"
    untimed = [one for one in figures if not one.needs_timer]
    if untimed and best.needs_timer:
        other = max(untimed, key=lambda one: one.fastest_wins)
        text += f"; without a timer {other.fastest_wins:.0%} with {other.format}"
    return f"{text}."
