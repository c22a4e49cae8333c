"""Times out of a table: pasted or uploaded, guessed, confirmed, kept, corrected in place."""

from __future__ import annotations

import secrets
from datetime import datetime
from typing import Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import list_cars
from hillbench.records.track_store import find_track, list_tracks
from hillbench.timing.table import decode
from hillbench.usecases.import_runs import ImportedRuns, import_runs
from hillbench.usecases.read_pasted import PastedTable, read_pasted
from hillbench.usecases.save_car import save_car
from hillbench.web.answer import refuse, show
from hillbench.web.asking import Book, Form, Now, Units, pairs, upload
from hillbench.web.clock_import_pages import (
    MEANINGS,
    MOST_ROWS_SHOWN,
    NEW_CAR,
    ColumnsPage,
    ImportPage,
    KeptPage,
    column_fields,
    columns_of,
    corrected,
    in_pieces,
    wrong_rows,
)
from hillbench.web.form_rows import Pairs
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_LABELS: Final = {"text": "Table", "track_id": "Track"}
_NEW_CASTING: Final = "Not yet sorted"
_CARRIED: Final = ("track_id", "import_key", "has_heading", "time_unit")
_CARRIED_KINDS: Final = ("column_", "name_", "car_")


@router.get("/clock/import")
def show_import(request: Request, book: Book) -> Response:
    """Show where to paste a table or choose a file."""
    return show(request, ImportPage(_tracks(book), Typed("table")))


@router.post("/clock/import")
def look_at_table(request: Request, book: Book, preferences: Units, form: Form) -> Response:
    """Show how a table is understood; nothing is kept yet."""
    answers, text = _answers(form, preferences), ""
    try:
        text = _text(answers, upload(form, "file"))
        track = answers.choice("track_id", [str(known) for known, _ in _tracks(book)] or [""])
        answers.require()
        typed = Typed("look", (*_carried(answers.as_typed), ("track_id", track)))
        read = read_pasted(book, text, columns=columns_of(typed))
    except InvalidInput as wrong:
        # A large file is chosen again sooner than it is scrolled through.
        shown = (("text", text[:100_000]), ("track_id", answers.text("track_id")))
        return refuse(
            request,
            ImportPage(_tracks(book), Typed("table", shown, answers.refused(wrong).problems)),
        )
    return show(request, _columns_page(book, typed, text, read))


@router.post("/clock/import/keep")
def keep_table(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Keep the good rows; show the others, to be corrected in place."""
    answers = _answers(form, preferences)
    typed = Typed("look", _carried(answers.as_typed))
    if not typed.value("track_id").isdecimal():
        raise NotFound("track", typed.value("track_id"))
    text = corrected(_text(answers, b""), _lines(answers.as_typed))
    if answers.text("action") == "look":
        return _looked_again(request, book, typed, text)
    try:
        columns = columns_of(typed)
        if columns is None:
            raise InvalidInput([Problem("columns", "missing", "one for the time and the car")])
        known = {str(car_id) for car_id, _ in _cars(book)}
        chosen = {name: car for name, car in _names(typed) if car in known or car == NEW_CAR}
        cars = _with_new_cars(book, chosen, now)
        kept = import_runs(
            book,
            int(typed.value("track_id")),
            text,
            columns,
            cars,
            now,
            import_key=typed.value("import_key"),
        )
    except InvalidInput as wrong:
        read = read_pasted(book, text)
        shown = Typed("look", typed.pairs, answers.refused(wrong).problems)
        return refuse(request, _columns_page(book, shown, text, read))
    return show(request, _kept_page(book, _with_cars(typed, cars), text, kept))


def _looked_again(request: Request, book: BenchBook, typed: Typed, text: str) -> Response:
    try:
        read = read_pasted(book, text, columns=columns_of(typed))
    except InvalidInput as wrong:
        problems = Answers("look", (), Preferences(), {}).refused(wrong).problems
        shown = Typed("look", typed.pairs, problems)
        return refuse(request, _columns_page(book, shown, text, read_pasted(book, text)))
    return show(request, _columns_page(book, typed, text, read))


def _answers(form: Form, preferences: Preferences) -> Answers:
    return Answers("table", pairs(form), preferences, _LABELS)


def _text(answers: Answers, file: bytes) -> str:
    text = decode(file, "file") if file else "".join(answers.as_typed.values("text"))
    if not text.strip():
        answers.problems.append(
            Problem("text", "empty", "one row for each run", "paste it or choose a file")
        )
    return text


def _carried(typed: Typed) -> Pairs:
    return tuple(
        (name, value)
        for name, value in typed.pairs
        if name in _CARRIED or name.startswith(_CARRIED_KINDS)
    )


def _lines(typed: Typed) -> dict[int, str]:
    return {
        int(name.removeprefix("line_")): value
        for name, value in typed.pairs
        if name.startswith("line_") and name.removeprefix("line_").isdecimal()
    }


def _names(typed: Typed) -> tuple[tuple[str, str], ...]:
    """Return each name of the table with the choice made for it."""
    return tuple(
        (name, typed.value(f"car_{field.removeprefix('name_')}"))
        for field, name in typed.pairs
        if field.startswith("name_")
    )


def _with_new_cars(book: BenchBook, chosen: dict[str, str], now: datetime) -> dict[str, int]:
    return {
        name: save_car(book, _NEW_CASTING, name, "", now).id if car == NEW_CAR else int(car)
        for name, car in chosen.items()
    }


def _with_cars(typed: Typed, cars: dict[str, int]) -> Typed:
    """Return the form with cars that were new when it was sent as the cars they are now."""
    chosen = {
        f"car_{field.removeprefix('name_')}": str(cars[name])
        for field, name in typed.pairs
        if field.startswith("name_") and name in cars
    }
    return Typed(typed.form, tuple((name, chosen.get(name, text)) for name, text in typed.pairs))


def _columns_page(book: BenchBook, typed: Typed, text: str, read: PastedTable) -> ColumnsPage:
    width = max(len(cells) for _, cells in read.sample)
    pairs_ = dict(typed.pairs)
    if read.reading is not None and "column_0" not in pairs_:
        pairs_.update(column_fields(read.reading.columns, width))
    pairs_.setdefault("import_key", secrets.token_hex(16))
    options = _cars(book)
    names = read.car_ids or dict.fromkeys(name for name, _ in _names(typed))
    chosen = dict(_names(typed))
    return ColumnsPage(
        look=Typed("look", tuple(pairs_.items()), typed.problems),
        pieces=in_pieces(text),
        read=read,
        width=width,
        run_count=len(read.reading.runs) if read.reading else 0,
        wrong_count=len(read.reading.problems) if read.reading else 0,
        names=tuple(
            (name, chosen.get(name) or (NEW_CAR if car is None else str(car)))
            for name, car in names.items()
        ),
        meanings=MEANINGS,
        car_options=(
            (NEW_CAR, "a new car"),
            *((str(car_id), name) for car_id, name in options),
            ("", "leave it out"),
        ),
        track_name=_track_name(book, pairs_["track_id"]),
    )


def _kept_page(book: BenchBook, typed: Typed, text: str, kept: ImportedRuns) -> KeptPage:
    wrong = wrong_rows(kept.problems, text)
    return KeptPage(
        kept=kept,
        wrong=wrong[:MOST_ROWS_SHOWN],
        wrong_left_out=max(len(wrong) - MOST_ROWS_SHOWN, 0),
        carried=typed.pairs,
        pieces=in_pieces(text) if wrong else (),
        track_name=_track_name(book, typed.value("track_id")),
    )


def _tracks(book: BenchBook) -> tuple[tuple[int, str], ...]:
    with book.read() as session:
        return tuple((track.id, track.name) for track in list_tracks(session))


def _track_name(book: BenchBook, track_id: str) -> str:
    with book.read() as session:
        return find_track(session, int(track_id)).name


def _cars(book: BenchBook) -> tuple[tuple[int, str], ...]:
    with book.read() as session:
        return tuple((car.id, car.name) for car in list_cars(session))
