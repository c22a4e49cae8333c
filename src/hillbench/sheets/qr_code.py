"""An address as a QR code: square modules, drawn as one path."""

from __future__ import annotations

from typing import Final

from hillbench.sheets import path
from hillbench.sheets.colour import BLACK, WHITE
from hillbench.sheets.drawing import Mark, Shape
from hillbench.sheets.path import Path

QUIET_MODULES: Final = 4
"""Empty modules round the code that a reader needs (ISO/IEC 18004, 6.3.8)."""


def qr_marks(text: str, x_mm: float, y_mm: float, side_mm: float) -> tuple[Mark, ...]:
    """Return a QR code with its quiet zone, by its upper left corner.

    Parameters
    ----------
    text
        What a phone reads, such as an address.
    x_mm, y_mm
        Upper left corner of the quiet zone.
    side_mm
        Side of the square, quiet zone included.

    Notes
    -----
    Error correction level M (15 % of the code may be lost), byte mode in UTF-8 where the text
    needs it; encoded by the package segno after ISO/IEC 18004:2015.
    """
    import segno

    rows = [list(row) for row in segno.make_qr(text, error="m", boost_error=False).matrix]
    module = side_mm / (len(rows) + 2 * QUIET_MODULES)
    modules: Path = ()
    for number, row in enumerate(rows):
        for first, length in _runs(row):
            modules += path.rectangle(
                x_mm + (QUIET_MODULES + first) * module,
                y_mm + (QUIET_MODULES + number) * module,
                length * module,
                module,
            )
    return (
        Shape(path.rectangle(x_mm, y_mm, side_mm, side_mm), fill=WHITE),
        Shape(modules, fill=BLACK),
    )


def _runs(row: list[int]) -> list[tuple[int, int]]:
    """Return where dark modules begin and how many follow each other."""
    runs: list[tuple[int, int]] = []
    start: int | None = None
    for place, dark in enumerate([*row, 0]):
        if dark and start is None:
            start = place
        elif not dark and start is not None:
            runs.append((start, place - start))
            start = None
    return runs
