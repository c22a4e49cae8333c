"""Gather what a build sheet, a bench card and a card to share say."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime
from io import BytesIO
from typing import Final

import numpy as np
from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, NotFound
from hillbench.pictures.ballast_sheet import ballast_picture
from hillbench.pictures.drawing import NARROW_PX
from hillbench.records import ballast_plan_store, photo_store, reading_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind, Photo
from hillbench.records.photo_store import Subject
from hillbench.sheets.bench_card import CardContent, CardStep
from hillbench.sheets.build_content import BuildContent, SheetPhoto, TrackTimes
from hillbench.sheets.page_frame import Link
from hillbench.sheets.social_card import CardWords
from hillbench.usecases.bearing_states import FrictionRead
from hillbench.usecases.build_sheet_rows import (
    balance_rows,
    decal_rows,
    fastener_rows,
    grams,
    lubrication_rows,
    mass_rows,
    part_rows,
    sheet_notes,
    tool_words,
)
from hillbench.usecases.build_sheet_times import first_judged, times_of_build
from hillbench.usecases.build_shown import ShownBuild, ShownStep
from hillbench.usecases.car_then import read_history
from hillbench.usecases.find_photo_file import find_photo_file
from hillbench.usecases.keep_ballast_plan import KeptPlan, read_kept_plan
from hillbench.usecases.show_build import show_build
from hillbench.usecases.tell_comparison import signed

_PHOTO_PX: Final = 1280
_SEED: Final = 64


def gather_build_sheet(book: BenchBook, build_id: int, link: Link, now: datetime) -> BuildContent:
    """Return what the sheet of a build says.

    Parameters
    ----------
    link
        Its page, as a phone reaches it.
    now
        When it is printed.

    Raises
    ------
    NotFound
        If there is no such build.
    """
    shown = show_build(book, build_id, now)
    times = times_of_build(book, shown, np.random.default_rng((_SEED, build_id)))
    with book.read() as session:
        kept = _chosen_plan(session, shown)
        readings = reading_store.current_readings(session, shown.car.id)
        frictions = _frictions(session, shown.car.id)
    judged = first_judged(times)
    return BuildContent(
        title=shown.build.name,
        car=_car_words(shown),
        lines=tuple(_lines(shown)),
        sentence=_headline(shown, judged),
        photo=photo_of(book, shown),
        times=times,
        masses=mass_rows(shown),
        balance=balance_rows(kept, readings),
        fasteners=fastener_rows(shown),
        lubrication=lubrication_rows(shown, frictions),
        decals=decal_rows(shown),
        parts=part_rows(shown),
        ballast_picture=""
        if kept is None
        else ballast_picture(
            kept.task, kept.plan, kept.sentence, width_px=NARROW_PX, key="ballast"
        ),
        ballast_note="" if kept is None else "Numbers are the building order; not to scale.",
        notes=sheet_notes(shown),
        link=link,
        foot=_foot(now),
    )


def gather_bench_card(book: BenchBook, build_id: int, link: Link, now: datetime) -> CardContent:
    """Return what the bench card of a build says; raises as `gather_build_sheet` does."""
    shown = show_build(book, build_id, now)
    return CardContent(
        title=shown.build.name,
        lines=(_car_words(shown), *_lines(shown)),
        steps=tuple(_card_step(one) for one in shown.steps),
        link=link,
        foot=_foot(now),
    )


def gather_social_card(book: BenchBook, build_id: int, now: datetime) -> CardWords:
    """Return what the card to share says; raises as `gather_build_sheet` does."""
    shown = show_build(book, build_id, now)
    times = times_of_build(book, shown, np.random.default_rng((_SEED, build_id)))
    judged, final = first_judged(times), shown.ledger.final
    lines = [f"{shown.done_count} of {len(shown.steps)} steps done"]
    figure = unit = label = ""
    if judged is not None and judged.gain is not None and judged.gain.settled:
        gain = judged.gain
        figure, unit = f"{abs(gain.gain_s):.2f}", "s faster" if gain.gain_s > 0 else "s slower"
        label = f"on {judged.track}, 90 % interval {signed(gain.low_s)} to {signed(gain.high_s)} s"
        lines = [grams(final), *lines] if final is not None else lines
    elif final is not None:
        figure, unit, label = f"{final.value:.2f}", "g", "ready for the hill"
    return CardWords(
        shown.build.name,
        shown.car.name,
        figure,
        unit,
        label,
        tuple(lines),
        photo_of(book, shown),
    )


def _headline(shown: ShownBuild, judged: TrackTimes | None) -> str:
    """Return what the build came to: a gain that is sure, else the mass."""
    if judged is not None and judged.gain is not None and judged.gain.settled:
        word = "faster" if judged.gain.gain_s > 0.0 else "slower"
        return f"{abs(judged.gain.gain_s):.2f} s {word} on {judged.track}."
    final, limit_g = shown.ledger.final, shown.build.limit_g
    if final is None:
        return ""
    word = "" if shown.ledger.is_weighed else " expected"
    if limit_g is None:
        return f"{final.value:.2f} g{word}."
    spare_g = limit_g - final.value
    side = "under" if spare_g >= 0.0 else "over"
    return f"{final.value:.2f} g{word}, {abs(spare_g):.2f} g {side} the {limit_g:g} g allowed."


def photo_of(book: BenchBook, shown: ShownBuild) -> SheetPhoto | None:
    """Return the latest photo of a build's car as a JPEG; None where there is none."""
    from PIL import Image

    with book.read() as session:
        photos = photo_store.list_photos(session, Subject(Kind.CAR, shown.car.id))
    for photo in _best_first(photos, shown):
        try:
            path, _ = find_photo_file(book, photo.sha256, _PHOTO_PX)
        except NotFound:  # the file is lost; an older photo will do
            continue
        with Image.open(path) as picture:
            plain = picture.convert("RGB")
        written = BytesIO()
        plain.save(written, "JPEG", quality=88)
        return SheetPhoto(written.getvalue(), plain.width, plain.height, photo.caption)
    return None


def _best_first(photos: tuple[Photo, ...], shown: ShownBuild) -> list[Photo]:
    """Return photos of the finished car before those of its parts taken at a step."""
    at_steps = {one.photo.id for one in shown.steps if one.photo is not None}
    return sorted(photos, key=lambda photo: photo.id in at_steps)


def _chosen_plan(session: Session, shown: ShownBuild) -> KeptPlan | None:
    record = ballast_plan_store.chosen_ballast_plan(session, shown.car.id)
    return None if record is None else read_kept_plan(record)


def _frictions(session: Session, car_id: int) -> tuple[FrictionRead, ...]:
    try:
        return read_history(session, car_id, defaultdict(list)).frictions
    except InvalidInput:  # readings that contradict each other are told on the page of the car
        return ()


def _car_words(shown: ShownBuild) -> str:
    return f"{shown.car.name}, on the casting {shown.car.casting_name}"


def _lines(shown: ShownBuild) -> list[str]:
    build = shown.build
    begun = f"Begun {_day(build.created_at)}"
    state = f"{build.state} {_day(build.ended_at)}" if build.ended_at else "still in hand"
    lines = [f"{begun}, {state}"]
    if build.meet_at is not None and build.ended_at is None:
        lines.append(f"To be ready by {_day(build.meet_at)}")
    if build.note:
        lines.append(build.note)
    return lines


def _card_step(one: ShownStep) -> CardStep:
    expected = one.line.expected
    told = expected is not None and (one.step.weighs or bool(one.step.changes))
    rest = f"{_span(one.step.wait_minutes)} for {one.step.wait_for or 'it to rest'}"
    takes = [_span(one.step.minutes)] + ([f"then {rest}"] if one.step.wait_minutes else [])
    return CardStep(
        title=one.step.title,
        tool=tool_words(one),
        detail=one.step.text,
        cautions=tuple(text.rule for _, text in one.cautions),
        takes="; ".join(takes),
        expected=grams(expected) if told and expected is not None else "",
        done=one.record.done_at is not None,
    )


def _span(minutes: float) -> str:
    if minutes < 120.0:
        return f"{minutes:.0f} min"
    return f"{minutes / 60.0:.0f} h" if minutes < 48 * 60.0 else f"{minutes / 1440.0:.0f} days"


def _foot(now: datetime) -> str:
    return f"Hillbench, {_day(now)}"


def _day(at: datetime) -> str:
    local = at.astimezone()
    return f"{local.day} {local:%b %Y}"
