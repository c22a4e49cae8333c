"""Keep a piece of art for decals, made safe."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import PurePosixPath

from hillbench.records import decal_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.decal_store import ArtRecord
from hillbench.records.names import clean_name
from hillbench.usecases.decal_documents import art_document
from hillbench.usecases.read_artwork import read_artwork

_LONGEST = 60


def keep_art(
    book: BenchBook, name: str, file_name: str, content: bytes, now: datetime
) -> ArtRecord:
    """Read an uploaded file and keep what is drawn in it; the file itself is thrown away.

    Parameters
    ----------
    name
        What to call it; the file's name where empty.
    file_name
        As the browser gave it: shown, never used as a path.

    Raises
    ------
    InvalidInput
        If the file holds no art that can be used, or the name is taken.
    """
    called = clean_name(name.strip() or shown_file_name(file_name))
    art = read_artwork(content, "art")
    with book.write() as session:
        return decal_store.add_art(session, called, "", art_document(art), now)


def shown_file_name(file_name: str) -> str:
    """Return the name of an uploaded file as it can be shown, whatever was in it."""
    last = PurePosixPath(file_name.replace("\\", "/")).name.rpartition(".")
    plain = re.sub(r"[^\w\- ]+", " ", last[0] or last[2])
    return " ".join(plain.split())[:_LONGEST] or "Art"
