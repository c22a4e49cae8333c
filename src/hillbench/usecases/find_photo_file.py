"""Find the file of a photo."""

from __future__ import annotations

from pathlib import Path

from hillbench.errors import NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.records.photo_files import COPY_MEDIA_TYPE, COPY_SIZES_PX, photo_path


def find_photo_file(book: BenchBook, sha256: str, size_px: int = 1280) -> tuple[Path, str]:
    """Return the copy of a photo that is to be shown, and its media type.

    Parameters
    ----------
    sha256
        Checksum of the photo, 64 hexadecimal digits.
    size_px
        Longer side wanted, px; the smallest copy that is no smaller is taken, else the largest.

    Raises
    ------
    NotFound
        If there is no such photo, or the checksum is none.
    """
    size = next((size for size in COPY_SIZES_PX if size >= size_px), COPY_SIZES_PX[-1])
    try:
        path = photo_path(book.photo_folder, sha256, size)
    except ValueError as error:
        raise NotFound("photo", sha256) from error
    if not path.is_file():
        raise NotFound("photo", sha256)
    return path, COPY_MEDIA_TYPE
