"""Export the bench in a documented form that other programs can read."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from hillbench import __version__
from hillbench.records.atomic_file import new_file
from hillbench.records.bench_archive import write_archive
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_rows import bench_from_rows
from hillbench.records.photo_files import photo_path
from hillbench.usecases.back_up_bench import WrittenFile, telling


def export_bench(book: BenchBook, path: Path, now: datetime) -> WrittenFile:
    """Write everything, removed things included, as one zip of JSON and photos.

    A photo whose file is lost is left out and counted.

    Raises
    ------
    FileExists
        If there is such a file already.
    BenchBookError
        If it cannot be written; nothing is left of it then.
    """
    with book.read() as session:
        bench = bench_from_rows(session, f"hillbench {__version__}", now)
    needed = sorted(bench.photo_checksums())
    found = [sha for sha in needed if photo_path(book.photo_folder, sha).is_file()]
    kept = set(found)
    bench.photos = [photo for photo in bench.photos if photo.sha256 in kept]
    bench.scrutiny_photos = [one for one in bench.scrutiny_photos if one.sha256 in kept]
    with telling(path), new_file(path) as temporary:
        write_archive(temporary, bench, book.photo_folder, found)
    return WrittenFile(path, len(found), len(needed) - len(found))
