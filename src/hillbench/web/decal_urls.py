"""Addresses of art in pictures, and names of files as browsers send them."""

from __future__ import annotations

from starlette.datastructures import FormData, UploadFile

from hillbench.records import decal_store
from hillbench.records.bench_book import BenchBook


def art_urls(book: BenchBook) -> dict[str, str]:
    """Return the address of the pixels of each art that has some, by its name."""
    with book.read() as session:
        arts = decal_store.list_art(session)
    return {one.name: f"/decals/art/{one.id}/pixels" for one in arts if "pixels" in one.content}


def file_name_of(form: FormData, name: str) -> str:
    """Return what a browser called an uploaded file; nothing where none was chosen.

    Parameters
    ----------
    form
        The form as sent.
    name
        Of the field.
    """
    value = form.get(name)
    return (value.filename or "") if isinstance(value, UploadFile) else ""
