"""Read a PDF back with pypdfium2 and pikepdf, which share nothing with the writer."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import numpy as np
import pikepdf
import pypdfium2 as pdfium
from numpy.typing import NDArray

PATH = 2
POINTS_PER_MM = 72.0 / 25.4


def boxes(data: bytes, page: int = 0) -> list[tuple[float, float, float, float]]:
    """Return the box of each path on a page, in points: left, bottom, right, top."""
    with pdfium.PdfDocument(data) as document:
        objects = document[page].get_objects(max_depth=5)
        return [one.get_bounds() for one in objects if one.type == PATH]


def size(data: bytes, page: int = 0) -> tuple[float, float]:
    """Return width and height of a page in points."""
    with pdfium.PdfDocument(data) as document:
        width, height = document[page].get_size()
        return width, height


def text(data: bytes, page: int = 0) -> str:
    """Return the words of a page."""
    with pdfium.PdfDocument(data) as document:
        found: str = document[page].get_textpage().get_text_range()
        return found


def bitmap(data: bytes, dots_per_inch: float = 150.0, page: int = 0) -> NDArray[Any]:
    """Return a page as printed: rows of red, green and blue."""
    with pdfium.PdfDocument(data) as document:
        image = document[page].render(scale=dots_per_inch / 72.0).to_pil()
        return np.asarray(image.convert("RGB")).astype(int)


def opened(data: bytes) -> pikepdf.Pdf:
    return pikepdf.open(BytesIO(data))
