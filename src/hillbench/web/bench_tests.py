"""Tests of a car at the bench: entered, judged, and taken as what counts."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput
from hillbench.usecases.keep_coast_out import keep_coast_out
from hillbench.usecases.keep_roll_test import keep_roll_test
from hillbench.usecases.keep_rub_check import keep_rub_check
from hillbench.usecases.keep_spin_downs import keep_spin_downs
from hillbench.usecases.rub_places import NAMES
from hillbench.usecases.use_friction import use_friction
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.bench_test_forms import (
    COAST_LABELS,
    ROLL_LABELS,
    RUB_LABELS,
    SPIN_LABELS,
    at_wheels,
    read_distances,
    read_rolls,
    read_spins,
)
from hillbench.web.bench_tests_page import bench_tests_page
from hillbench.web.flash import Flash
from hillbench.web.templating import count
from hillbench.web.typed import Answers

router = APIRouter(prefix="/cars/{car_id}/tests")


@router.get("")
def show_tests(request: Request, book: Book, preferences: Units, car_id: Number) -> Response:
    """Show all tests of a car and what they say."""
    return show(request, bench_tests_page(book, car_id, preferences))


@router.post("/spin-downs")
def add_spin_downs(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Keep the spins of one wheel or more."""
    answers = Answers("spins", pairs(form), preferences, SPIN_LABELS)
    try:
        asked = read_spins(answers)
        kept = keep_spin_downs(
            book,
            car_id,
            asked.lubricant,
            asked.round_number,
            asked.wheels,
            now,
            start_uncertainty_turns_per_s=asked.start_uncertainty_turns_per_s,
            timed_by=asked.timed_by,
            note=asked.note,
        )
    except InvalidInput as wrong:
        typed = answers.refused(at_wheels(wrong))
        return refuse(request, bench_tests_page(book, car_id, preferences, typed))
    undo = f"/undo/put-away/spin_down/{kept[0].id}" if len(kept) == 1 else ""
    flash = Flash(f"{count(len(kept), 'spin-down').capitalize()} kept.", undo)
    return done(request, f"/cars/{car_id}/tests#spins", flash)


@router.post("/rolls")
def add_rolls(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Keep a roll test."""
    answers = Answers("rolls", pairs(form), preferences, ROLL_LABELS)
    try:
        asked = read_rolls(answers)
        kept = keep_roll_test(
            book,
            car_id,
            asked.rolls,
            now,
            drift_uncertainty_mm=asked.drift_uncertainty_mm,
            aim_uncertainty_deg=asked.aim_uncertainty_deg,
            straightened=asked.straightened,
            note=asked.note,
        )
    except InvalidInput as wrong:
        typed = answers.refused(wrong)
        return refuse(request, bench_tests_page(book, car_id, preferences, typed))
    flash = Flash("The rolls are kept.", f"/undo/put-away/roll_test/{kept.id}")
    return done(request, f"/cars/{car_id}/tests#rolls", flash)


@router.post("/coast-outs")
def add_coast_out(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Keep a coast-out."""
    answers = Answers("coast", pairs(form), preferences, COAST_LABELS)
    distances_m = read_distances(answers)
    speed = answers.quantity("entry_speed_m_s", units.SPEED, required=False)
    speed_off = answers.quantity("entry_speed_uncertainty_m_s", units.SPEED, required=False)
    level_off = answers.quantity("level_uncertainty_deg", units.ANGLE)
    track = answers.text("track_id")
    try:
        answers.require()
        kept = keep_coast_out(
            book,
            car_id,
            distances_m,
            now,
            surface=answers.text("surface"),
            track_id=int(track) if track.isdecimal() else None,
            entry_speed_m_s=speed,
            entry_speed_uncertainty_m_s=speed_off,
            level_uncertainty_deg=level_off or 0.0,
            note=answers.text("note"),
        )
    except InvalidInput as wrong:
        typed = answers.refused(wrong)
        return refuse(request, bench_tests_page(book, car_id, preferences, typed))
    flash = Flash("The coast-out is kept.", f"/undo/put-away/coast_out/{kept.id}")
    return done(request, f"/cars/{car_id}/tests#coast-outs", flash)


@router.post("/rub-checks")
def add_rub_check(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Keep a rub check."""
    answers = Answers("rubs", pairs(form), preferences, RUB_LABELS)
    typed = {name: answers.text(name) for name in NAMES if answers.text(name)}
    try:
        kept = keep_rub_check(book, car_id, typed, now, note=answers.text("note"))
    except InvalidInput as wrong:
        shown = answers.refused(wrong)
        return refuse(request, bench_tests_page(book, car_id, preferences, shown))
    flash = Flash("The rub check is kept.", f"/undo/put-away/rub_check/{kept.id}")
    return done(request, f"/cars/{car_id}/tests#rubs", flash)


@router.post("/friction")
def take_friction(request: Request, book: Book, now: Now, car_id: Number) -> Response:
    """Take the friction of the latest round as the one that counts."""
    reading = use_friction(book, car_id, now)
    flash = Flash(
        f"The car now runs with a bearing friction of {reading.value:g}.",
        f"/undo/put-away/reading/{reading.id}",
    )
    return done(request, f"/cars/{car_id}/tests#spins", flash)
