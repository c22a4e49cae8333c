"""What a format of a meet would tell about the cars, before anything is drawn."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, ClassVar, Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.show_timing import show_timing_of_track
from hillbench.web.answer import refuse, show
from hillbench.web.asking import Book, Units
from hillbench.web.fit_jobs import Job, Progress
from hillbench.web.fits import Fits, FitWaitPage
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Answers, Typed

if TYPE_CHECKING:  # they load SciPy, which the start of the app does not need
    from hillbench.racing.field import Field
    from hillbench.usecases.study_formats import Studied

router = APIRouter()

_ADDRESS: Final = "/meets/formats"
_USUAL: Final = {
    "cars": "16",
    "lanes": "4",
    "season_meets": "1",
    "heat_minutes": "2",
    "car_sd_s": "0.10",
    "run_sd_s": "0.05",
    "lane_sd_s": "0.03",
    "heat_sd_s": "0.02",
    "bad_percent": "5",
    "no_finish_percent": "1",
    "track_id": "",
}
"""What is assumed where nothing is known: common practice, no source."""

MOST_BAD: Final = 0.5
"""Largest share of runs with a snag, or without a finish."""

_LABELS: Final = {
    "cars": "Cars",
    "lanes": "Lanes",
    "season_meets": "Meets of the season",
    "heat_minutes": "Minutes from start to start",
    "car_sd_s": "Spread of the cars",
    "run_sd_s": "Spread of a car's clean runs",
    "lane_sd_s": "Spread of the lanes",
    "heat_sd_s": "Spread of the heats",
    "bad_percent": "Runs with a snag",
    "no_finish_percent": "Runs without a finish",
}


@dataclass(frozen=True, slots=True)
class FormatStudyPage(Page):
    """Formats side by side.

    Attributes
    ----------
    question
        Cars, lanes and spreads as typed.
    tracks
        Number and name of each track, for the choice of one.
    spread_from
        Where the spread of a run comes from, in words; empty where it was typed.
    studied
        What each format would tell; None where the question cannot be answered.
    wins, errors
        How often the fastest car wins, and errors of rank; None without an answer.
    """

    template: ClassVar[str] = "meets/formats.html"
    place: ClassVar[str] = "meets"

    question: Typed
    tracks: tuple[tuple[str, str], ...]
    spread_from: str
    studied: Studied | None = None
    wins: Pictured | None = None
    errors: Pictured | None = None


@router.get(_ADDRESS)
def show_formats(request: Request, book: Book, preferences: Units, jobs: Fits) -> Response:
    """Show what each format would tell about the cars of a meet to come."""
    asked = {**_USUAL, **_known(request.query_params)}
    spread_from = _fill_from_track(book, asked, request.query_params)
    tracks = (("", "none in particular"), *_tracks(book))
    answers = _answers(asked, preferences)
    try:
        field, season_meets = _field(answers)
    except InvalidInput as wrong:
        return refuse(request, FormatStudyPage(answers.refused(wrong), tracks, spread_from))
    job = _ask(jobs, field, season_meets, asked)
    if job.result is None:
        return show(request, FitWaitPage(job))
    studied: Studied = job.result  # type: ignore[assignment]
    page = FormatStudyPage(answers.as_typed, tracks, spread_from, studied, *_pictures(studied))
    return show(request, page)


def _known(query: Mapping[str, str]) -> dict[str, str]:
    return {name: query[name].strip() for name in _USUAL if query.get(name, "").strip()}


def _tracks(book: BenchBook) -> list[tuple[str, str]]:
    return [(str(one.record.id), one.record.name) for one in list_tracks(book)]


def _fill_from_track(book: BenchBook, asked: dict[str, str], query: Mapping[str, str]) -> str:
    """Take what is known of a chosen track, unless it was typed; say where it comes from."""
    number = asked["track_id"]
    if not (number.isascii() and number.isdigit()) or len(number) > 15:
        asked["track_id"] = ""
        return ""
    try:
        timing = show_timing_of_track(book, int(number))
    except NotFound:
        asked["track_id"] = ""
        return ""
    if query.get("run_sd_s", "").strip() and query.get("from_track_id", "") == number:
        return ""
    if timing.spread_s is None:
        return f"{timing.track_name} has no timed runs yet, so the spread of a run is assumed."
    asked["run_sd_s"] = f"{timing.spread_s:.3f}"
    return (
        f"A clean run on {timing.track_name} varies by {timing.spread_s:.3f} s "
        f"(from {timing.spread_source})."
    )


def _answers(asked: Mapping[str, str], preferences: Preferences) -> Answers:
    return Answers("question", tuple(asked.items()), preferences, _LABELS)


def _field(answers: Answers) -> tuple[Field, int]:
    from hillbench.racing.field import Field
    from hillbench.usecases.study_formats import require_allowed

    counts = {name: _count(answers, name) for name in ("cars", "lanes", "season_meets")}
    spreads = {
        name: answers.quantity(name, units.TIME) or 0.0
        for name in ("car_sd_s", "run_sd_s", "lane_sd_s", "heat_sd_s")
    }
    minutes = (answers.quantity("heat_minutes", units.TIME, unit="min") or 0.0) / 60.0
    rates = {f"{name}_rate": _rate(answers, f"{name}_percent") for name in ("bad", "no_finish")}
    answers.require()
    require_allowed(None, counts["season_meets"])
    field = Field(counts["cars"], counts["lanes"], heat_minutes=minutes, **spreads, **rates)
    return field, counts["season_meets"]


def _count(answers: Answers, name: str) -> int:
    value = answers.quantity(name, units.NUMBER)
    if value is not None and value != int(value):
        answers.problems.append(Problem(name, answers.text(name), "a whole number"))
    return int(value or 0)


def _rate(answers: Answers, name: str) -> float:
    rate = answers.quantity(name, units.NUMBER, unit="%") or 0.0
    if not 0.0 <= rate <= MOST_BAD:
        allowed = f"0 to {100 * MOST_BAD:.0f} %"
        answers.problems.append(Problem(name, f"{answers.text(name)} %", allowed))
    return rate


def _ask(jobs: Fits, field: Field, season_meets: int, asked: Mapping[str, str]) -> Job:
    from hillbench.usecases.study_formats import compare_formats

    def work(progress: Progress) -> object:
        return compare_formats(
            field,
            progress=lambda done, total: progress(done / total),
            season_meets=season_meets,
        )

    told = repr((sorted(asdict(field).items()), season_meets))
    key = hashlib.sha256(told.encode()).hexdigest()
    changed = {name: text for name, text in asked.items() if text != _USUAL[name]}
    back = f"{_ADDRESS}?{urlencode(changed)}" if changed else _ADDRESS
    return jobs.ask(key, "What each format would tell", back, work)


def _pictures(studied: Studied) -> tuple[Pictured, Pictured]:
    from hillbench.pictures.formats import rank_error_picture, wins_picture

    sentence = studied.answer.sentence
    return (
        pictured(
            lambda width, key: wins_picture(studied.figures, sentence, width_px=width, key=key),
            "wins",
        ),
        pictured(
            lambda width, key: rank_error_picture(
                studied.figures, sentence, width_px=width, key=key
            ),
            "errors",
        ),
    )
