"""Fits that are running: how far they are, and a way to stop them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, ClassVar, TypeVar

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from hillbench.errors import NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.fit_track import find_or_compute
from hillbench.usecases.gather_runs import Gathered
from hillbench.web.answer import done, show
from hillbench.web.fit_jobs import FitJobs, Job, JobState, Progress
from hillbench.web.flash import Flash
from hillbench.web.page import Page

router = APIRouter()

ResultT = TypeVar("ResultT")


@dataclass(frozen=True, slots=True)
class FitWaitPage(Page):
    """A fit that is not done: waiting, running, stopped or failed.

    Attributes
    ----------
    job
        The fit.
    """

    template: ClassVar[str] = "fits/waiting.html"

    job: Job


def fit_jobs(request: Request) -> FitJobs:
    """Return the fits of this process."""
    jobs: FitJobs = request.app.state.fit_jobs
    return jobs


Fits = Annotated[FitJobs, Depends(fit_jobs)]
"""The fits of this process."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A result that a page wants.

    Attributes
    ----------
    key
        What it is of; it changes with all that the result depends on.
    title
        What it is, in words.
    back
        Address of the page.
    car_id
        The car it is about; None for a whole track.
    """

    key: str
    title: str
    back: str
    car_id: int | None = None


def ask_for(
    jobs: FitJobs,
    book: BenchBook,
    gathered: Gathered,
    kind: type[ResultT],
    asked: Asked,
    compute: Callable[[Progress], ResultT],
    now: datetime,
) -> ResultT | Job:
    """Return a result from the book or from a fit that is over; else the fit that is not."""

    def work(progress: Progress) -> object:
        return find_or_compute(
            book,
            gathered,
            kind,
            lambda: compute(progress),
            now,
            key=asked.key,
            car_id=asked.car_id,
        )

    job = jobs.ask(asked.key, asked.title, asked.back, work)
    return job.result if isinstance(job.result, kind) else job


@router.get("/fits/{key}")
def show_fit(request: Request, jobs: Fits, key: str) -> Response:
    """Show how far a fit is; lead to its page when it is done."""
    job = jobs.find(key)
    if job is None:
        raise NotFound("fit", key)
    if job.state is JobState.DONE:
        return done(request, job.back, Flash("Worked out."))
    return show(request, FitWaitPage(job), "fits/progress.html")


@router.post("/fits/{key}/stop")
def stop_fit(request: Request, jobs: Fits, key: str) -> Response:
    """Stop a fit; nothing else changes."""
    job = jobs.stop(key)
    if job is None:
        raise NotFound("fit", key)
    return done(request, f"/fits/{key}", Flash("Stopped. The runs and the cars are as they were."))


@router.post("/fits/{key}/again")
def begin_again(request: Request, jobs: Fits, key: str) -> Response:
    """Lead back to the page that wants a fit, which begins it again."""
    job = jobs.find(key)
    if job is None:
        raise NotFound("fit", key)
    jobs.forget(key)
    return done(request, job.back, Flash("Begun again."))
