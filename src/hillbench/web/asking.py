"""What routes ask for: the open bench book, the reader's units, the form as typed."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import datetime
from typing import Annotated, Final

from fastapi import Depends, Path, Request
from starlette.datastructures import FormData, UploadFile

from hillbench.records.bench_book import BenchBook
from hillbench.web.bench_holder import BenchHolder
from hillbench.web.page import preferences_of
from hillbench.web.preferences import Preferences

_MOST_FIELDS: Final = 50_000
_MOST_FILES: Final = 20
_LARGEST_FIELD: Final = 2 * 1024 * 1024


def _open_book(request: Request) -> BenchBook:
    holder: BenchHolder = request.app.state.bench
    return holder.book


def _now(request: Request) -> datetime:
    now: datetime = request.app.state.clock()
    return now


async def _form(request: Request) -> AsyncIterator[FormData]:
    async with request.form(
        max_fields=_MOST_FIELDS, max_files=_MOST_FILES, max_part_size=_LARGEST_FIELD
    ) as form:
        yield form


def pairs(form: FormData) -> tuple[tuple[str, str], ...]:
    """Return the typed fields of a form in order, without its files."""
    return tuple((name, value) for name, value in form.multi_items() if isinstance(value, str))


def upload(form: FormData, name: str) -> bytes:
    """Return the bytes of a file chosen in a form, empty where none was chosen."""
    value = form.get(name)
    return value.file.read() if isinstance(value, UploadFile) else b""


Book = Annotated[BenchBook, Depends(_open_book)]
"""The open bench book."""

Units = Annotated[Preferences, Depends(preferences_of)]
"""The preferences of the device that asks."""

Now = Annotated[datetime, Depends(_now)]
"""The moment of the request, UTC."""

Form = Annotated[FormData, Depends(_form)]
"""The form as it was sent; `pairs` gives what `typed.Answers` reads."""

Number = Annotated[int, Path(ge=1, lt=2**63)]
"""Number of a thing in an address; any other is an address that leads nowhere."""
