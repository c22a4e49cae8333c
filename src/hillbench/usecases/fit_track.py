"""Fit a hill of the bench book: what it and its cars are made of."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from hillbench.fitting.change import Change
from hillbench.fitting.evidence import Evidence, Setup, measured_owners
from hillbench.fitting.information import HEAVIER_G, Expected, rank_readings
from hillbench.records.bench_book import BenchBook
from hillbench.records.fit_result_store import find_result, keep_result
from hillbench.usecases.fit_file import FitAnswer, chance, findings_of, fit_answer
from hillbench.usecases.gather_runs import Gathered
from hillbench.usecases.kept_fit import FIT_SEED, KeptFit, take_up
from hillbench.usecases.tell_fit import tell_notes

ResultT = TypeVar("ResultT")


@dataclass(frozen=True, slots=True)
class MadeOf:
    """What a hill and its cars are made of.

    Attributes
    ----------
    answer
        The fit, as in the answer of `hillbench fit`.
    causes
        Likely causes of what does not fit, a sentence each.
    readings
        What further readings would tell of all unknowns together, most bits first.
    readings_with, readings_with_id
        The car they would be taken with; empty and None where there is none.
    """

    answer: FitAnswer
    causes: tuple[str, ...]
    readings: tuple[Expected, ...]
    readings_with: str
    readings_with_id: int | None


def tell_track(gathered: Gathered, kept: KeptFit) -> MadeOf:
    """Tell what a hill and its cars are made of, from the fit of what was gathered there."""
    found = findings_of(take_up(kept, gathered), chance(FIT_SEED))
    answer = fit_answer(found)
    causes = found.misfit.causes
    told = tell_notes(found.fit, found.findings, found.misfit, name_runs=False)
    notes = tuple(note for note in told if note not in causes)
    answer = dataclasses.replace(answer, notes=(*gathered.notes, *notes))
    setup = _last_setup(gathered)
    if setup is None:
        return MadeOf(answer, causes, (), "", None)
    heavier = Change("heavier", mass_g=setup.car.mass_g + HEAVIER_G)
    readings = [one for one in rank_readings(found.fit, setup, heavier) if math.isfinite(one.bits)]
    readings.sort(key=lambda one: -one.bits)
    return MadeOf(answer, causes, tuple(readings), setup.name, gathered.runs[-1].car_id)


def fields_of(evidence: Evidence) -> dict[str, Any]:
    """Return the fields of the evidence, to make a question of it."""
    return {field.name: getattr(evidence, field.name) for field in dataclasses.fields(Evidence)}


def find_kept(book: BenchBook, kind: type[ResultT], key: str) -> ResultT | None:
    """Return a result that was computed before, None where it was not."""
    with book.read() as session:
        kept = find_result(session, key)
    if kept is None:
        return None
    try:
        return TypeAdapter(kind).validate_python(kept)
    except ValidationError:  # written by a program that had other fields
        return None


def keep(
    book: BenchBook,
    gathered: Gathered,
    key: str,
    result: object,
    now: datetime,
    car_id: int | None = None,
) -> None:
    """Keep a result, so that nobody waits for it again; not in a book that is read only."""
    if book.read_only:
        return
    written: Mapping[str, Any] = TypeAdapter(type(result)).dump_python(result, mode="json")
    with book.write() as session:
        keep_result(session, gathered.track.version_id, car_id, key, dict(written), now)


def find_or_compute(
    book: BenchBook,
    gathered: Gathered,
    kind: type[ResultT],
    compute: Callable[[], ResultT],
    now: datetime,
    *,
    key: str,
    car_id: int | None = None,
) -> ResultT:
    """Return a result from the book, else compute and keep it."""
    found = find_kept(book, kind, key)
    if found is None:
        found = compute()
        keep(book, gathered, key, found, now, car_id)
    return found


def _last_setup(gathered: Gathered) -> Setup | None:
    """Return the car of the latest run as it is now; None where it never ran like that."""
    if not gathered.runs:
        return None
    setup = gathered.now[gathered.runs[-1].car_id]
    return setup if setup.owner in measured_owners(gathered.evidence) else None
