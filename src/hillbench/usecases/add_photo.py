"""Keep a photo of a car, a track or a casting."""

from __future__ import annotations

from datetime import datetime

from hillbench.records import car_store, photo_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind, Photo
from hillbench.records.errors import ReadOnlyBenchBook
from hillbench.records.faults import disk_fault
from hillbench.records.names import clean_note
from hillbench.records.photo_files import store_photo_file
from hillbench.records.photo_store import Subject
from hillbench.records.removal import ROWS, find_row


def add_photo(
    book: BenchBook,
    subject: Subject,
    content: bytes,
    now: datetime,
    *,
    caption: str = "",
    at: datetime | None = None,
) -> Photo:
    """Keep a photo: its file first, then its row, so that no row is without its file.

    Parameters
    ----------
    subject
        What it shows, such as ``Subject(Kind.CAR, 3)``.
    content
        The file as it was given; a JPEG, PNG or WebP picture of at most 20 MB.
    caption
        What is to be seen; may be empty.
    at
        When it was taken; `now` where None.

    Raises
    ------
    InvalidInput
        If it is no such picture (place ``photo``).
    NotFound
        If what it shows is not in the bench book.
    DiskFull, ReadOnlyBenchBook
        If it cannot be kept.
    """
    caption = clean_note(caption, "caption")
    if book.read_only:
        raise ReadOnlyBenchBook(book.database)
    with book.read() as session:
        find_row(session, ROWS[subject.kind], subject.id)
    try:
        file = store_photo_file(book.photo_folder, content)
    except OSError as error:
        raise disk_fault(book.photo_folder, error) from error
    with book.write() as session:
        if subject.kind is Kind.CAR:
            car_store.touch_car(session, subject.id, now)
        return photo_store.add_photo(session, subject, file, caption, at or now)
