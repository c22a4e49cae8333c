"""Read art from files that nobody vouches for: SVG, PNG or JPEG."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

from hillbench.decals.artwork import Artwork, Pixels
from hillbench.decals.colour import Colour, from_light
from hillbench.decals.vector_art import read_svg
from hillbench.errors import InvalidInput, Problem

if TYPE_CHECKING:
    from PIL import Image
    from shapely.geometry.base import BaseGeometry

LARGEST_BYTES: Final = 20_000_000
MOST_PIXELS: Final = 40_000_000
KEPT_PX: Final = 2400
"""A picture is kept no larger: 100 mm at 600 dpi."""

_ALLOWED: Final = "an SVG, or an 8-bit RGB picture as PNG or JPEG of at most 20 MB, 40 megapixels"
_PNG_DEPTH_AT: Final = 24
_OUTLINE_CELLS: Final = 160
_CLEAR: Final = 8
"""Alpha of 255 up to which a pixel counts as clear."""


def read_artwork(content: bytes, where: str = "art") -> Artwork:
    """Return the art in a file, told by its content and not by its name.

    Parameters
    ----------
    content
        The file.
    where
        Its name, for messages.

    Raises
    ------
    InvalidInput
        If it is too large, of another kind, CMYK or 16-bit, or holds what an SVG must not.
    """
    if len(content) > LARGEST_BYTES:
        raise _refused(where, f"{len(content) / 1e6:.1f} MB large", "make it smaller")
    if content[:2] == b"\xff\xd8" or content[:8] == b"\x89PNG\r\n\x1a\n":
        return Artwork((), _read_picture(content, where))
    if b"<" in content[:1000]:
        return read_svg(content, where)
    raise _refused(where, "a file of another kind", "save it as SVG, PNG or JPEG")


def _read_picture(content: bytes, where: str) -> Pixels:
    from PIL import Image

    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as picture:
            _check_header(picture, content, where)
            return _pixels(_bounded(picture))
    except InvalidInput:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _refused(where, "far too many pixels large", "make it smaller") from None
    except Exception as error:  # decoders of hostile files raise what they like
        raise _refused(where, "no picture that can be read", "save it anew") from error


def _check_header(picture: Image.Image, content: bytes, where: str) -> None:
    """Refuse before a pixel is decoded."""
    if picture.width * picture.height > MOST_PIXELS:
        seen = f"{picture.width} × {picture.height} pixels large"
        raise _refused(where, seen, "make it smaller")
    if picture.mode in ("CMYK", "YCCK"):
        raise _refused(where, "a CMYK picture", "export it as RGB, which fixes its colours")
    deep = picture.format == "PNG" and content[_PNG_DEPTH_AT] == 16
    if deep or picture.mode.startswith(("I", "F")):
        raise _refused(where, "a picture of 16 bits a channel", "save it with 8 bits")


def _bounded(picture: Image.Image) -> Image.Image:
    from PIL import Image, ImageOps

    if picture.format == "JPEG":
        picture.draft("RGB", (KEPT_PX, KEPT_PX))
    has_alpha = "A" in picture.getbands() or "transparency" in picture.info
    profile = picture.info.get("icc_profile")
    plain = ImageOps.exif_transpose(picture).convert("RGBA" if has_alpha else "RGB")
    plain.thumbnail((KEPT_PX, KEPT_PX), Image.Resampling.LANCZOS)
    return _in_srgb(plain, profile)


def _in_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    from PIL import ImageCms

    if not profile:
        return picture
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        changed = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError):
        return picture
    return changed or picture


def _pixels(picture: Image.Image) -> Pixels:
    picture.info = {}
    content = io.BytesIO()
    picture.save(content, "PNG")
    box = (0.0, 0.0, 10.0 * picture.width / picture.height, 10.0)
    shape = _seen_outline(picture, box[2], box[3]) if picture.mode == "RGBA" else None
    return Pixels(content.getvalue(), *picture.size, box, mean=_mean(picture), shape=shape)


def _seen_outline(picture: Image.Image, width_mm: float, height_mm: float) -> BaseGeometry | None:
    """Return the outline of what is not clear, as rows of boxes; None where all is seen.

    A coarse copy of the picture is enough, since the cut line goes round it with a gap; a cell
    counts as soon as anything in it is seen.
    """
    import numpy as np
    from shapely import box, union_all

    reduced = max(1, max(picture.size) // _OUTLINE_CELLS)
    alpha = picture.getchannel("A")
    cells = np.asarray(alpha) > _CLEAR
    high, wide = -(-cells.shape[0] // reduced), -(-cells.shape[1] // reduced)
    padded = np.zeros((high * reduced, wide * reduced), dtype=bool)
    padded[: cells.shape[0], : cells.shape[1]] = cells
    seen = np.asarray(padded.reshape(high, reduced, wide, reduced).any(axis=(1, 3)))
    if seen.all() or not seen.any():
        return None
    cell_mm = reduced * height_mm / picture.height
    runs = []
    for row, marks in enumerate(seen):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], marks.astype(np.int8), [0]))))
        for first, last in edges.reshape(-1, 2):
            x0, x1 = first * cell_mm, min(last * cell_mm, width_mm)
            runs.append(box(x0, row * cell_mm, x1, min((row + 1) * cell_mm, height_mm)))
    return union_all(runs)


def _mean(picture: Image.Image) -> Colour:
    """Return the mean colour by light, clear parts left out."""
    import numpy as np

    small = picture.copy()
    small.thumbnail((64, 64))
    cells = np.asarray(small.convert("RGBA"), dtype=np.float64).reshape(-1, 4) / 255.0
    weights = cells[:, 3]
    if weights.sum() == 0.0:
        return Colour(1.0, 1.0, 1.0)
    parts = cells[:, :3]
    light = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    red, green, blue = np.average(light, axis=0, weights=weights)
    return from_light((float(red), float(green), float(blue)))


def _refused(where: str, seen: str, remedy: str) -> InvalidInput:
    return InvalidInput([Problem(where, seen, _ALLOWED, remedy)])
