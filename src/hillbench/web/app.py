"""The app: routers, guards and error pages put together."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Collection
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from typing import Final

from fastapi import APIRouter, FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from hillbench.errors import HillbenchError
from hillbench.records.bench_book import BenchBook
from hillbench.web import (
    balance,
    ballast,
    ballast_plan,
    bench,
    bench_choice,
    bench_tests,
    board,
    build_changes,
    build_ledger,
    build_plan,
    build_prints,
    build_step_page,
    build_work,
    builds,
    car_entries,
    car_on_track,
    cars,
    cavity,
    cavity_outline,
    clock,
    clock_import,
    clock_lines,
    clock_outing,
    clock_run,
    clock_take_lines,
    clock_worker,
    decal_apply,
    decal_items,
    decal_livery,
    decal_panels,
    decal_sheets,
    decal_trace,
    decals,
    drawer,
    drawer_item,
    drawer_labels,
    fits,
    forecasts,
    format_study,
    gain_page,
    guide,
    help_car,
    invitations,
    made_of,
    meet_draw,
    meet_entries,
    meet_heats,
    meet_journal,
    meet_prints,
    meet_results,
    meet_run,
    meet_scrutiny,
    meets,
    photos,
    race_classes,
    seasons,
    settings,
    things,
    thread_page,
    tracks,
)
from hillbench.web.assets import FOLDER, KeptFiles, edition
from hillbench.web.ballast_jobs import Searches
from hillbench.web.bench_holder import BenchHolder, Opener, Which
from hillbench.web.error_pages import error_page
from hillbench.web.fit_jobs import FitJobs
from hillbench.web.gate import Gate
from hillbench.web.meet_frame import MeetReader
from hillbench.web.qr import outward_host
from hillbench.web.security import HEADERS, LOOPBACK_HOSTS, Guard

ROUTERS: Final[tuple[APIRouter, ...]] = (
    bench.router,
    bench_choice.router,
    cars.router,
    car_entries.router,
    bench_tests.router,
    cavity.router,
    cavity_outline.router,
    balance.router,
    ballast.router,
    ballast_plan.router,
    photos.router,
    things.router,
    guide.router,
    settings.router,
    tracks.router,
    car_on_track.router,
    clock.router,
    clock_worker.router,
    clock_import.router,
    clock_lines.router,
    clock_take_lines.router,
    clock_run.router,
    clock_outing.router,
    gain_page.router,
    format_study.router,
    decals.router,
    decal_trace.router,
    decal_panels.router,
    decal_livery.router,
    decal_items.router,
    decal_sheets.router,
    decal_apply.router,
    made_of.router,
    help_car.router,
    forecasts.router,
    fits.router,
    drawer_labels.router,  # before the items, whose number stands in the same place
    drawer.router,
    drawer_item.router,
    build_plan.router,
    builds.router,
    build_work.router,
    build_work.undoing,
    build_changes.router,
    build_step_page.router,
    build_ledger.router,
    thread_page.router,
    build_prints.router,
    meets.router,
    meet_entries.router,
    meet_draw.router,
    meet_run.router,
    meet_heats.router,
    meet_scrutiny.router,
    meet_results.router,
    meet_prints.router,
    meet_journal.router,
    board.router,
    invitations.router,
    race_classes.router,
    seasons.router,
)
"""One for each part of the app, in the order addresses are tried."""


def utc_now() -> datetime:
    """Return the present moment, UTC."""
    return datetime.now(UTC)


def create_app(
    book: BenchBook,
    *,
    demo: bool = False,
    openers: dict[Which, Opener] | None = None,
    allowed_hosts: Collection[str] = LOOPBACK_HOSTS,
    clock: Callable[[], datetime] = utc_now,
) -> FastAPI:
    """Return the app for one bench book.

    Parameters
    ----------
    book
        The bench book that is open at first; the app closes it when it shuts down.
    demo
        Whether that is the invented one.
    openers
        How to open the other one (``{"own": lambda: BenchBook.open(folder)}``); a button
        changes between them.
    allowed_hosts
        Names and addresses the app answers to, without ports.
    clock
        Gives the present moment, UTC.
    """
    app = FastAPI(
        title="Hillbench", docs_url=None, redoc_url=None, openapi_url=None, lifespan=_lifespan
    )
    app.state.bench = BenchHolder(book, "demo" if demo else "own", openers)
    app.state.clock = clock
    app.state.fit_jobs = FitJobs()
    app.state.searches = Searches()
    app.state.meets = MeetReader()
    app.state.outward_host = outward_host(tuple(allowed_hosts))
    app.state.reachable = bool(app.state.outward_host)
    app.add_middleware(Gate)
    app.add_middleware(Guard, allowed_hosts=allowed_hosts)
    for router in ROUTERS:
        app.include_router(router)
    app.mount(f"/assets/{edition()}", KeptFiles(directory=FOLDER), name="assets")
    app.add_exception_handler(HTTPException, _expected)
    app.add_exception_handler(HillbenchError, _expected)
    app.add_exception_handler(RequestValidationError, _no_such_address)
    app.add_exception_handler(Exception, _unexpected)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    yield
    app.state.fit_jobs.close()
    app.state.searches.close()
    app.state.bench.close()


def _expected(request: Request, error: Exception) -> Response:
    return error_page(request, error)


def _no_such_address(request: Request, _error: Exception) -> Response:
    """Answer an address with a word where a number should be."""
    return error_page(request, HTTPException(404))


def _unexpected(request: Request, error: Exception) -> Response:
    """Answer outside the guard, so with the guard's headers."""
    response = error_page(request, error)
    response.headers.update(HEADERS)
    return response
