"""Photos as files."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import FileResponse, Response

from hillbench.web.asking import Book

router = APIRouter()


@router.get("/photos/{sha256}")
def send_photo(book: Book, sha256: str, size: int = 1280) -> Response:
    """Send the copy of a photo that is no smaller than `size` pixels, where there is one."""
    from hillbench.usecases.find_photo_file import find_photo_file  # loads the picture library

    path, media_type = find_photo_file(book, sha256, size)
    return FileResponse(
        path,
        media_type=media_type,
        headers={"cache-control": "private, max-age=31536000, immutable"},
    )
