"""Changing between the invented bench and the reader's own."""

from __future__ import annotations

from typing import Annotated, Final, get_args

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from hillbench.errors import NotFound
from hillbench.web.answer import done
from hillbench.web.asking import Form
from hillbench.web.bench_holder import BenchHolder, Which
from hillbench.web.flash import Flash

router = APIRouter()

_OPENED: Final[dict[Which, str]] = {
    "own": "This is your own bench.",
    "demo": "This is the invented bench: change what you like.",
}


def _holder(request: Request) -> BenchHolder:
    holder: BenchHolder = request.app.state.bench
    return holder


@router.post("/bench/open")
def open_bench(
    request: Request, form: Form, holder: Annotated[BenchHolder, Depends(_holder)]
) -> Response:
    """Open the other bench book in this app and show its bench."""
    for which in get_args(Which):
        if form.get("which") == which:
            holder.open(which)
            return done(request, "/", Flash(_OPENED[which]))
    raise NotFound("bench", form.get("which"))
