"""Import an exported bench into an empty bench book."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput
from hillbench.records.bench_archive import BenchArchive, open_archive
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_rows import add_rows, is_empty
from hillbench.records.errors import BadArchive, BenchNotEmpty, ReadOnlyBenchBook
from hillbench.records.faults import disk_fault
from hillbench.records.photo_files import store_photo_file
from hillbench.usecases.check_weights import weight_problems


@dataclass(frozen=True, slots=True)
class ImportedBench:
    """How much was imported."""

    car_count: int
    track_count: int
    run_count: int
    photo_count: int


def import_bench(book: BenchBook, path: Path) -> ImportedBench:
    """Take over everything of an exported bench, with the numbers it had there.

    A bench is imported into an empty bench book only. Mixing two would have to guess which
    cars of the same name are one car; side by side, in two folders, nothing is guessed.

    Raises
    ------
    BenchNotEmpty
        If the bench book holds anything already.
    BadArchive
        If the file is not whole and consistent, or of a newer program; nothing is taken over.
    BenchBookError
        If something cannot be read or written.
    """
    if book.read_only:
        raise ReadOnlyBenchBook(book.database)
    with book.read() as session:
        _require_empty(book, session)
    try:
        with open_archive(path) as archive:
            _take_over(book, path, archive)
            bench = archive.bench
    except OSError as error:
        raise disk_fault(Path(error.filename or path), error) from error
    return ImportedBench(
        car_count=len(bench.cars),
        track_count=len(bench.tracks),
        run_count=len(bench.timed_runs),
        photo_count=len(bench.photos) + len(bench.scrutiny_photos),
    )


def _take_over(book: BenchBook, path: Path, archive: BenchArchive) -> None:
    for problem in weight_problems(archive.bench):
        raise BadArchive(path, f"holds what cannot be: {problem.sentence()[:-1]}")
    for sha256 in sorted(archive.bench.photo_checksums()):
        try:
            store_photo_file(book.photo_folder, archive.photo(sha256))
        except InvalidInput as error:
            raise BadArchive(path, f"holds a photo that is none ({sha256[:12]}…)") from error
    try:
        with book.write() as session:
            _require_empty(book, session)
            add_rows(session, archive.bench)
    except IntegrityError as error:
        raise BadArchive(
            path, "contradicts itself (a number or name is missing or twice)"
        ) from error


def _require_empty(book: BenchBook, session: Session) -> None:
    if not is_empty(session):
        raise BenchNotEmpty(book.folder)
