"""Seasons: meets that count together."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput, Problem
from hillbench.racing.season import Absence, SeasonPlace, SeasonRule, SeasonScore
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import Season
from hillbench.usecases.rank_season import SeasonView, show_season
from hillbench.usecases.save_meet import save_season
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_LABELS: Final = {
    "name": "Name",
    "points": "Points",
    "taking_part": "For taking part",
    "drop": "Meets dropped",
    "least_meets": "Meets to be placed",
    "score": "Scored by",
    "absence": "An absence counts",
}


@dataclass(frozen=True, slots=True)
class SeasonCell:
    """What one meet gave one car.

    Attributes
    ----------
    told
        Points or gap, in words; empty for an absence.
    dropped
        Whether it is dropped.
    """

    told: str
    dropped: bool


@dataclass(frozen=True, slots=True)
class SeasonLine:
    """One car in a season.

    Attributes
    ----------
    place, name, total
        In words.
    cells
        By meet.
    """

    place: str
    name: str
    total: str
    cells: tuple[SeasonCell, ...]


@dataclass(frozen=True)
class SeasonPage(Page):
    """One season.

    Attributes
    ----------
    season
        The season.
    sentence
        Who leads.
    rule
        How it is scored, in words.
    meets
        Number and name of each, in the order held.
    lines
        The standings.
    form
        The form, as typed.
    score_options, absence_options
        Choices of the form.
    """

    template: ClassVar[str] = "meets/season.html"
    place: ClassVar[str] = "meets"

    season: Season
    sentence: str
    rule: str
    meets: tuple[tuple[int, str], ...]
    lines: tuple[SeasonLine, ...]
    form: Typed
    score_options: tuple[tuple[str, str], ...]
    absence_options: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class NewSeasonPage(Page):
    """Where a season is begun.

    Attributes
    ----------
    form, score_options, absence_options
        As in `SeasonPage`.
    """

    template: ClassVar[str] = "meets/season_new.html"
    place: ClassVar[str] = "meets"

    form: Typed
    score_options: tuple[tuple[str, str], ...]
    absence_options: tuple[tuple[str, str], ...]


_SCORES: Final = tuple((str(one), str(one)) for one in SeasonScore)
_ABSENCES: Final = tuple((str(one), str(one)) for one in Absence)


@router.get("/seasons/new")
def show_new(request: Request) -> Response:
    """Show the form of a new season."""
    return show(request, NewSeasonPage(Typed("season", _fields(SeasonRule())), _SCORES, _ABSENCES))


@router.post("/seasons")
def add(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Keep a new season."""
    answers = Answers("season", pairs(form), preferences, _LABELS)
    try:
        kept = _save(book, answers, now, None)
    except InvalidInput as wrong:
        return refuse(request, NewSeasonPage(answers.refused(wrong), _SCORES, _ABSENCES))
    return done(request, f"/seasons/{kept.id}", Flash("The season is kept: give meets to it."))


@router.get("/seasons/{season_id}")
def show_one(request: Request, book: Book, season_id: Number) -> Response:
    """Show the standings of a season."""
    view = show_season(book, season_id)
    held = (("name", view.season.name), ("note", view.season.note), *_fields(view.season.rule))
    return show(request, _page(view, Typed("season", held)))


@router.post("/seasons/{season_id}")
def change(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, season_id: Number
) -> Response:
    """Keep how a season is scored."""
    answers = Answers("season", pairs(form), preferences, _LABELS)
    try:
        _save(book, answers, now, season_id)
    except InvalidInput as wrong:
        return refuse(request, _page(show_season(book, season_id), answers.refused(wrong)))
    return done(request, f"/seasons/{season_id}", Flash("Kept how the season is scored."))


def _save(book: BenchBook, answers: Answers, now: datetime, season_id: int | None) -> Season:
    score = answers.choice("score", [value for value, _ in _SCORES])
    absence = answers.choice("absence", [value for value, _ in _ABSENCES])
    points = _points(answers)
    taking_part = answers.quantity("taking_part", units.NUMBER, required=False)
    whole = {
        name: answers.quantity(name, units.NUMBER, required=False)
        for name in ("drop", "least_meets")
    }
    for name, value in whole.items():
        if value is not None and value != round(value):
            answers.problems.append(Problem(name, answers.text(name), "a whole number"))
    answers.require()
    rule = SeasonRule(
        SeasonScore(score),
        points,
        taking_part or 0.0,
        round(whole["drop"] or 0),
        Absence(absence),
        round(whole["least_meets"] or 1),
    )
    name, note = answers.text("name"), answers.text("note")
    return save_season(book, name, note, rule, now, season_id=season_id)


def _points(answers: Answers) -> tuple[float, ...]:
    words = answers.text("points").replace(",", " ").replace(";", " ").split()
    try:
        return tuple(float(word) for word in words[:200])
    except ValueError:
        allowed = "numbers such as 25, 18, 15"
        answers.problems.append(Problem("points", answers.text("points")[:40], allowed))
        return (1.0,)


def _fields(rule: SeasonRule) -> tuple[tuple[str, str], ...]:
    return (
        ("score", str(rule.score)),
        ("points", ", ".join(f"{one:g}" for one in rule.points)),
        ("taking_part", f"{rule.taking_part:g}"),
        ("drop", str(rule.drop)),
        ("absence", str(rule.absence)),
        ("least_meets", str(rule.least_meets)),
    )


def _page(view: SeasonView, typed: Typed) -> SeasonPage:
    rule = view.season.rule
    lines = tuple(_line(view, one, rule) for one in view.standings)
    first = [line.name for line in lines if line.place == "1"]
    verb = "leads" if len(first) == 1 else "share the lead"
    sentence = f"{' and '.join(first)} {verb}." if first else "No meet of this season was run yet."
    return SeasonPage(
        season=view.season,
        sentence=sentence,
        rule=_told(rule),
        meets=tuple((meet.id, meet.name) for meet in view.meets),
        lines=lines,
        form=typed,
        score_options=_SCORES,
        absence_options=_ABSENCES,
    )


def _line(view: SeasonView, one: SeasonPlace, rule: SeasonRule) -> SeasonLine:
    cells = tuple(
        SeasonCell("" if score is None else _number(score, rule), at in one.dropped)
        for at, score in enumerate(one.scores)
    )
    total = "" if one.total is None else _number(one.total, rule)
    place = "" if one.place is None else str(one.place)
    return SeasonLine(place, view.car_names[one.car], total, cells)


def _number(value: float, rule: SeasonRule) -> str:
    if rule.score is SeasonScore.GAP:
        return f"{value:+.2f} %".replace("-", "−")
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _told(rule: SeasonRule) -> str:
    if rule.score is SeasonScore.GAP:
        text = "Mean gap to the median car of each meet, in percent of its time"
    else:
        text = "Points by place, " + ", ".join(f"{one:g}" for one in rule.points)
        if rule.taking_part:
            text += f", then {rule.taking_part:g}"
    if rule.drop:
        text += "; the worst dropped" if rule.drop == 1 else f"; the {rule.drop} worst dropped"
    if rule.score is SeasonScore.POINTS:
        text += f"; an absence counts {rule.absence}"
    return f"{text}. Ties: meets won, then the best place."
