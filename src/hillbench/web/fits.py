"""Fits that are running: how far they are, and a way to stop them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, ClassVar

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from hillbench.errors import NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.fit_track import find_or_compute
from hillbench.usecases.gather_runs import Gathered
from hillbench.usecases.kept_fit import KeptFit, fit_gathered
from hillbench.web.answer import done, show
from hillbench.web.fit_jobs import FitJobs, Job, JobState, Progress
from hillbench.web.flash import Flash
from hillbench.web.page import Page

router = APIRouter()


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
    """A page that wants a fit.

    Attributes
    ----------
    title
        What it is, in words.
    page
        Address of the page, without what was asked of it.
    query
        What was asked of it, with its question mark; may be empty.
    car_id
        The car it is about; None for a whole track.
    """

    title: str
    page: str
    query: str = ""
    car_id: int | None = None


def ask_for_fit(
    jobs: FitJobs, book: BenchBook, gathered: Gathered, asked: Asked, now: datetime
) -> KeptFit | Job:
    """Return the fit of what was gathered, from the book or just done; else one not done yet.

    It does not depend on what is asked of it, so another target or limit does not fit again.
    """
    key = gathered.key(KeptFit.__name__)

    def work(progress: Progress) -> object:
        return find_or_compute(
            book,
            gathered,
            KeptFit,
            lambda: fit_gathered(gathered, progress),
            now,
            key=key,
            car_id=asked.car_id,
        )

    job = jobs.ask(
        gathered.key(KeptFit.__name__, asked.page), asked.title, asked.page + asked.query, work
    )
    job.back = asked.page + asked.query
    return job.result if isinstance(job.result, KeptFit) else job


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
