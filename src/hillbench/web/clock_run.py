"""One run of an outing, corrected; what it said before is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, NotFound
from hillbench.records import car_store, outing_store, run_edit_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import RunNote, TimedRun
from hillbench.records.outing_entities import RunEdit
from hillbench.usecases.enter_run import edit_run
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.clock_forms import ENTRY_LABELS, is_doubtful, read_run, run_fields
from hillbench.web.clock_words import told_run
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_NOTES: Final = tuple((note.value, note.value) for note in RunNote)


@dataclass(frozen=True)
class RunPage(Page):
    """One run of an outing, to be corrected.

    Attributes
    ----------
    run
        As it stands.
    outing_id
        Its outing.
    edits
        What it said before, latest first.
    car_names
        Names of the cars by number.
    gates_at_m
        Where the gates of the track were then, m.
    car_options, note_options
        Choices of the form.
    edit
        The form, as typed.
    doubtful
        Whether the time typed is far from the others and can be kept all the same.
    """

    template: ClassVar[str] = "clock/run.html"
    place: ClassVar[str] = "clock"

    run: TimedRun
    outing_id: int
    edits: tuple[RunEdit, ...]
    car_names: Mapping[int, str]
    gates_at_m: tuple[float, ...]
    car_options: tuple[tuple[int, str], ...]
    note_options: tuple[tuple[str, str], ...]
    edit: Typed
    doubtful: bool


@router.get("/clock/runs/{run_id}")
def show_run(request: Request, book: Book, run_id: Number) -> Response:
    """Show one run of an outing, to be corrected."""
    return show(request, _run_page(book, run_id))


@router.post("/clock/runs/{run_id}")
def correct_run(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, run_id: Number
) -> Response:
    """Give a run other values; those it had are kept."""
    answers = Answers("edit", pairs(form), preferences, ENTRY_LABELS)
    try:
        asked = read_run(answers)
        run = edit_run(
            book,
            run_id,
            asked.car_id,
            asked.finish_time_s,
            asked.note,
            now,
            lane=asked.lane,
            gate_times_s=asked.gate_times_s,
            confirmed=asked.confirmed,
        )
    except InvalidInput as wrong:
        page = _run_page(book, run_id, answers.refused(wrong), doubtful=is_doubtful(wrong))
        return refuse(request, page)
    back = f"/clock/{run.outing_id}"
    return done(
        request, back, Flash(f"Run {run.number} is now {told_run(run)}; the old value is kept.")
    )


def _run_page(
    book: BenchBook, run_id: int, typed: Typed | None = None, *, doubtful: bool = False
) -> RunPage:
    with book.read() as session:
        run = run_edit_store.find_run(session, run_id)
        if run.outing_id is None:
            raise NotFound("run of an outing", run_id)
        edits = run_edit_store.list_run_edits(session, [run_id]).get(run_id, ())
        cars = car_store.list_cars(session)
        ids = {run.car_id, *(edit.car_id for edit in edits)}
        names = outing_store.car_names(session, ids)
        gates_at_m = track_store.gates_of_version(session, run.track_version_id)
    options = {**names, **{car.id: car.name for car in cars}}
    return RunPage(
        run=run,
        outing_id=run.outing_id,
        edits=tuple(reversed(edits)),
        car_names=names,
        gates_at_m=gates_at_m,
        car_options=tuple(options.items()),
        note_options=_NOTES,
        edit=typed or Typed("edit", run_fields(run)),
        doubtful=doubtful,
    )
