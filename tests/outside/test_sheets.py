"""Lengths of printed sheets, read back by a PDF reader that shares nothing with the writer."""

from __future__ import annotations

import numpy as np
import pytest

from hillbench.sheets import path
from hillbench.sheets.drawing import Shape, Stroke, one_page
from hillbench.sheets.page import A4, LETTER, PageSize
from hillbench.sheets.pdf_writer import write_pdf
from hillbench.sheets.ruler import NOTE, ruler_marks
from tests.outside.registry import Outside
from tests.sheets.pdf_reading import bitmap, boxes, size, text

AREA = "Printed sheets"
PDFIUM = "PDFium, through pypdfium2"
TOLERANCE_PT = 0.02


@pytest.mark.parametrize(
    ("paper", "expected"), [(A4, (210 / 25.4 * 72, 297 / 25.4 * 72)), (LETTER, (612.0, 792.0))]
)
def test_paper(paper: PageSize, expected: tuple[float, float], outside: Outside) -> None:
    found = size(write_pdf(one_page("paper", paper, ())))
    standard = "ISO 216" if paper is A4 else "ANSI/ASME Y14.1"
    for edge, want, got in zip(("width", "height"), expected, found, strict=True):
        outside.check(
            f"{edge} of {paper.name}",
            source=f"{standard}, read with {PDFIUM}",
            how="run",
            expected=want,
            got=got,
            within=TOLERANCE_PT,
            unit="pt",
        )


def test_lengths_of_marks(outside: Outside) -> None:
    marks = (
        Shape(path.rectangle(20.0, 30.0, 123.4, 56.7), fill=Stroke().colour),
        Shape(path.circle(100.0, 200.0, 12.5), fill=Stroke().colour),
    )
    (left, bottom, right, top), around = boxes(write_pdf(one_page("marks", A4, marks)))
    lengths = {
        "a width of 123.4 mm": (123.4, right - left),
        "a height of 56.7 mm": (56.7, top - bottom),
        "20 mm from the left edge": (20.0, left),
        "30 mm from the upper edge": (30.0, 297 / 25.4 * 72 - top),
        "a circle of 25 mm across": (25.0, around[2] - around[0]),
    }
    for name, (length_mm, got) in lengths.items():
        outside.check(
            name,
            source=f"1 in = 25.4 mm = 72 pt (ISO 32000-1, 8.3.2.3), read with {PDFIUM}",
            how="run",
            expected=length_mm / 25.4 * 72,
            got=got,
            within=TOLERANCE_PT,
            unit="pt",
        )


def test_bars_that_prove_the_scale(outside: Outside) -> None:
    data = write_pdf(one_page("bars", A4, ruler_marks(20.0, 20.0)))
    assert NOTE in text(data)
    wide = sorted(right - left for left, _, right, _ in boxes(data))[-2:]
    for name, want, got in zip(
        ("100 mm bar", "4 in bar"), (100 / 25.4 * 72, 288.0), wide, strict=True
    ):
        outside.check(
            f"length of the {name}",
            source=f"1 in = 25.4 mm = 72 pt, read with {PDFIUM}",
            how="run",
            expected=want,
            got=got,
            within=TOLERANCE_PT,
            unit="pt",
        )


def test_the_bar_as_printed(outside: Outside) -> None:
    dots_per_inch = 600.0
    data = write_pdf(one_page("bars", PageSize("slip", 140.0, 40.0), ruler_marks(20.0, 20.0)))
    dark = bitmap(data, dots_per_inch).sum(axis=2) < 384
    # Through the middle of the bar, short of the words to its right.
    row = round((20.0 + 3.4 + 0.25) / 25.4 * dots_per_inch)
    columns = np.nonzero(dark[row, : round(122.0 / 25.4 * dots_per_inch)])[0]
    assert len(columns) == columns[-1] - columns[0] + 1
    outside.check(
        "100 mm bar on the printed page",
        source=f"counted in a bitmap of 600 dots an inch drawn by {PDFIUM}",
        how="run",
        expected=100.0,
        got=len(columns) / dots_per_inch * 25.4,
        within=25.4 / dots_per_inch,
        unit="mm",
    )
