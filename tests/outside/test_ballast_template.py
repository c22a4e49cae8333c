"""Lengths of a placement template, read back by a PDF reader that shares nothing with it."""

from __future__ import annotations

from collections.abc import Iterator
from ctypes import c_float

import pypdfium2 as pdfium
from pypdfium2 import raw

from hillbench.ballast.body_styles import TYPICAL_CAVITIES
from hillbench.ballast.measured_cavity import cavity_of
from hillbench.ballast.plan import Placement, Plan, Step
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.task import BallastTask, FixedMass
from hillbench.sheets.ballast_template import ballast_template
from hillbench.sheets.page import A4
from hillbench.sheets.pdf_writer import write_pdf
from tests.outside.registry import Outside
from tests.sheets.pdf_reading import PATH, text

AREA = "Printed sheets"
POINTS_PER_MM = 72.0 / 25.4
TOLERANCE_PT = 0.02

TASK = BallastTask(
    42.0,
    57.0,
    cavity_of(TYPICAL_CAVITIES["saloon"]),
    (StockPiece("bar", (19.0, 12.7, 2.6), 1, 7.09),),
    (FixedMass("car", 38.0, 20.0, 0.0, 9.0),),
)
PLAN = Plan(
    (Placement(1, "bar", 2.5, -9.5, 3.5, (12.7, 19.0, 2.6), 7.09, 1, 0, "floor"),),
    45.09,
    19.0,
    0.0,
    8.2,
    0.08,
)


def extents(data: bytes) -> Iterator[tuple[float, float]]:
    """Yield length and width of each path on the first page, from its corners, in points.

    The reader's own box would go round the width of the line as well.
    """
    with pdfium.PdfDocument(data) as document:
        for one in document[0].get_objects(max_depth=5):
            if one.type != PATH:
                continue
            corners = []
            for number in range(raw.FPDFPath_CountSegments(one.raw)):
                segment = raw.FPDFPath_GetPathSegment(one.raw, number)
                x, y = c_float(), c_float()
                raw.FPDFPathSegment_GetPoint(segment, x, y)
                corners.append(one.get_matrix().on_point(x.value, y.value))
            xs, ys = [x for x, _ in corners], [y for _, y in corners]
            yield max(xs) - min(xs), max(ys) - min(ys)


def test_floor_and_piece_of_a_placement_template(outside: Outside) -> None:
    """A saloon 63 mm long and 21.5 mm wide inside, with a bar of 12.7 by 19 mm."""
    drawing = ballast_template(TASK, PLAN, (Step(1, "Lay it.", 45.09),), "t", "s", "f", A4)
    data = write_pdf(drawing)
    found = list(extents(data))
    for name, size_mm in (("floor", (63.0, 21.5)), ("piece", (12.7, 19.0))):
        wanted = [edge * POINTS_PER_MM for edge in size_mm]
        nearest = min(found, key=lambda one: abs(one[0] - wanted[0]) + abs(one[1] - wanted[1]))
        for edge, want, got in zip(("length", "width"), wanted, nearest, strict=True):
            outside.check(
                f"{edge} of the {name} on a placement template",
                source="72 pt an inch (ISO 32000-1, 8.3.2.3), read with PDFium, pypdfium2",
                how="run",
                expected=want,
                got=got,
                within=TOLERANCE_PT,
                unit="pt",
            )
    assert "nose" in text(data)
