"""Photos as files: checked by content, kept by checksum, with resized copies to show."""

from __future__ import annotations

import hashlib
import io
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PIL import Image, ImageOps

from hillbench.errors import InvalidInput, Problem
from hillbench.records.atomic_file import write_atomically

LARGEST_BYTES: Final = 20_000_000
MOST_PIXELS: Final = 80_000_000
COPY_SIZES_PX: Final = (320, 1280)
COPY_MEDIA_TYPE: Final = "image/webp"
_FORMATS: Final = {
    "JPEG": "image/jpeg",
    "MPO": "image/jpeg",
    "PNG": "image/png",
    "WEBP": "image/webp",
}
_ALLOWED: Final = "a JPEG, PNG or WebP picture of at most 20 MB and 80 megapixels"
_CHECKSUM: Final = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class PhotoFile:
    """A photo file as it was given: its checksum, type and the size of the upright picture."""

    sha256: str
    media_type: str
    width_px: int
    height_px: int


def store_photo_file(folder: Path, content: bytes, where: str = "photo") -> PhotoFile:
    """Check a photo and keep it with its copies; nothing is kept of one that will not do.

    Parameters
    ----------
    folder
        Folder of the photo files.
    content
        The file as it was given.
    where
        Name of the field, for the message.

    Raises
    ------
    InvalidInput
        If it is no picture of a kind allowed, cut short, or too large.
    OSError
        If it cannot be written.

    Notes
    -----
    The copies are upright and carry nothing of what the camera noted, such as the place.
    """
    picture, media_type = _open_picture(content, where)
    sha256 = hashlib.sha256(content).hexdigest()
    for size in COPY_SIZES_PX:
        write_atomically(photo_path(folder, sha256, size), _copy(picture, size))
    write_atomically(photo_path(folder, sha256), content)
    return PhotoFile(sha256, media_type, picture.width, picture.height)


def photo_path(folder: Path, sha256: str, size_px: int | None = None) -> Path:
    """Return where a photo file is kept, or its copy of one of `COPY_SIZES_PX`.

    Raises
    ------
    ValueError
        If the checksum is no checksum, so that no path can be smuggled in.
    """
    if not _CHECKSUM.fullmatch(sha256):
        raise ValueError(f"{sha256!r:.80} is no SHA-256 checksum")
    name = sha256 if size_px is None else f"{sha256}.{size_px}.webp"
    return folder / sha256[:2] / name


def _open_picture(content: bytes, where: str) -> tuple[Image.Image, str]:
    if len(content) > LARGEST_BYTES:
        raise _refused(where, f"{len(content) / 1e6:.1f} MB large", "make it smaller")
    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP")) as picture:
            media_type = _FORMATS[str(picture.format)]
            if picture.width * picture.height > MOST_PIXELS:
                raise _refused(
                    where, f"{picture.width} × {picture.height} pixels large", "make it smaller"
                )
            upright = ImageOps.exif_transpose(picture)
            return _plain(upright), media_type
    except InvalidInput:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _refused(where, "far too many pixels large", "make it smaller") from error
    except Exception as error:  # decoders of hostile files raise what they like
        remedy = "choose a photo, or save it as JPEG first"
        raise _refused(where, "no picture that can be read", remedy) from error


def _plain(picture: Image.Image) -> Image.Image:
    has_alpha = "A" in picture.getbands() or "transparency" in picture.info
    mode = "RGBA" if has_alpha else "RGB"
    profile = picture.info.get("icc_profile") if picture.mode == mode else None
    plain = picture.convert(mode)
    plain.info = {"icc_profile": profile} if profile else {}
    return plain


def _copy(picture: Image.Image, size_px: int) -> bytes:
    small = picture.copy()
    small.thumbnail((size_px, size_px), Image.Resampling.LANCZOS, reducing_gap=2.0)
    content = io.BytesIO()
    small.save(content, "WEBP", quality=82, method=2, icc_profile=picture.info.get("icc_profile"))
    return content.getvalue()


def _refused(where: str, seen: str, remedy: str) -> InvalidInput:
    return InvalidInput([Problem(where, seen, _ALLOWED, remedy)])
