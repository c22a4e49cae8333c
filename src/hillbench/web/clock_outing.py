"""One outing: its runs entered beside the track, undone, edited, and the answer so far."""

from __future__ import annotations

from typing import Final

import numpy as np
from fastapi import APIRouter, Request
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.records import outing_store, run_edit_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind
from hillbench.usecases.enter_run import enter_run
from hillbench.usecases.remove_thing import remove_thing
from hillbench.usecases.show_outing import show_outing
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.clock_forms import (
    ENTRY_LABELS,
    is_doubtful,
    moment_of,
    read_run,
    time_source,
)
from hillbench.web.clock_pages import OutingPage, outing_page, seen_mark
from hillbench.web.clock_words import told_run
from hillbench.web.flash import Flash
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_PART: Final = "clock/live.html"
_SEED: Final = 64


@router.get("/clock/{outing_id}")
def show_one(request: Request, book: Book, outing_id: Number, seen: str = "") -> Response:
    """Show an outing; a page that has `seen` all there is gets nothing (204)."""
    if seen and seen == _mark(book, outing_id):
        return Response(status_code=204)
    return show(request, _page(book, outing_id), _PART)


@router.post("/clock/{outing_id}/runs")
def enter(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, outing_id: Number
) -> Response:
    """Keep one run; the same entry sent again changes nothing."""
    _require_same(book, form, outing_id)
    answers = Answers("entry", pairs(form), preferences, ENTRY_LABELS)
    try:
        asked = read_run(answers)
        run = enter_run(
            book,
            outing_id,
            asked.car_id,
            asked.finish_time_s,
            asked.note,
            now,
            lane=asked.lane,
            entry_key=answers.text("entry_key") or None,
            time_source=time_source(answers),
            gate_times_s=asked.gate_times_s or (),
            at=moment_of(answers, now),
            confirmed=asked.confirmed,
        )
    except InvalidInput as wrong:
        page = _page(book, outing_id, answers.refused(wrong), doubtful=is_doubtful(wrong))
        return refuse(request, page, _PART)
    flash = Flash(f"Kept: {told_run(run)}.", f"/undo/put-away/timed_run/{run.id}")
    return done(request, f"/clock/{outing_id}", flash, lambda: _page(book, outing_id), _PART)


@router.post("/clock/{outing_id}/undo")
def undo(request: Request, book: Book, now: Now, form: Form, outing_id: Number) -> Response:
    """Take back the run that the page showed as the last, whoever entered more since."""
    _require_same(book, form, outing_id)
    last = str(form.get("undo_id") or "")
    if not last.isdecimal() or not _is_in(book, int(last), outing_id):
        flash = Flash("There is no run to take back.")
    else:
        remove_thing(book, Kind.TIMED_RUN, int(last), now)
        flash = Flash("Run taken back.", f"/undo/timed_run/{last}")
    return done(request, f"/clock/{outing_id}", flash, lambda: _page(book, outing_id), _PART)


def _page(
    book: BenchBook, outing_id: int, typed: Typed | None = None, *, doubtful: bool = False
) -> OutingPage:
    # The same outing gives the same answer, also when the page is loaded again.
    rng = np.random.default_rng((_SEED, outing_id))
    return outing_page(show_outing(book, outing_id, rng), typed, doubtful=doubtful)


def _require_same(book: BenchBook, form: FormData, outing_id: int) -> None:
    """Refuse what a phone kept for an outing of another bench book with the same number."""
    begun = form.get("begun")
    with book.read() as session:
        outing = outing_store.find_outing(session, outing_id)
    if begun and begun != outing.begun_at.isoformat():
        raise HTTPException(409)


def _mark(book: BenchBook, outing_id: int) -> str:
    with book.read() as session:
        runs = outing_store.list_outing_runs(session, [outing_id])
        edits = run_edit_store.list_run_edits(session, [run.id for run in runs])
    return seen_mark(list(runs), sum(len(own) for own in edits.values()))


def _is_in(book: BenchBook, run_id: int, outing_id: int) -> bool:
    with book.read() as session:
        return run_edit_store.find_run(session, run_id).outing_id == outing_id
