"""Every sheet fits its paper, says what it was given and keeps its bars true."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from io import BytesIO

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from hillbench.sheets import path
from hillbench.sheets.bench_card import CardContent, CardStep, bench_card
from hillbench.sheets.build_sheet import build_sheet
from hillbench.sheets.certificate import CertificateContent, certificates
from hillbench.sheets.colour import Rgb
from hillbench.sheets.drawer_label import LABEL, LabelContent, label_page
from hillbench.sheets.drawing import (
    Drawing,
    Group,
    Mark,
    Photo,
    Shape,
    Stroke,
    Words,
    one_page,
)
from hillbench.sheets.font import width_mm
from hillbench.sheets.heat_sheet import HeatRow, HeatSheetContent, LaneEntry, heat_sheet
from hillbench.sheets.page import A4, LETTER, PageSize
from hillbench.sheets.page_frame import Link
from hillbench.sheets.path import UNCHANGED, Transform, bounds_mm, transformed
from hillbench.sheets.pdf_writer import write_pdf
from hillbench.sheets.png_writer import write_png
from hillbench.sheets.results_sheet import ResultColumn, ResultsContent, results_sheet
from hillbench.sheets.ruler import NOTE
from hillbench.sheets.social_card import CARD_PX, CardWords, card_page, social_card
from tests.sheets.build_example import LINK, content, photo
from tests.sheets.pdf_reading import bitmap, boxes, opened, text

PAPERS = pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "Letter"])
NAMES = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=120)
BAR_PT = (100 / 25.4 * 72, 288.0)


def outside_paper(drawing: Drawing) -> list[str]:
    """Return what reaches beyond its page, by what it is."""
    return [
        told
        for page in drawing.pages
        for layer in page.layers
        for mark in layer.marks
        for told in _beyond(mark, UNCHANGED, page.size)
    ]


def _beyond(mark: Mark, at: Transform, size: PageSize) -> list[str]:
    match mark:
        case Group():
            if mark.clip is not None:
                return _escaped(
                    "clip", bounds_mm(transformed(mark.clip, mark.transform.then(at))), size
                )
            inner = mark.transform.then(at)
            return [told for one in mark.marks for told in _beyond(one, inner, size)]
        case Shape():
            box = bounds_mm(transformed(mark.path, at)) if mark.path else (0.0, 0.0, 0.0, 0.0)
            return _escaped("shape", box, size)
        case Words():
            wide = at.a * width_mm(mark.text, mark.size_mm, mark.font)
            x, y = at.apply((mark.x_mm, mark.y_mm))
            left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor] * wide
            return _escaped(mark.text, (left, y - at.d * mark.size_mm, left + wide, y), size)
        case Photo():
            return []


def _escaped(what: str, box: tuple[float, float, float, float], size: PageSize) -> list[str]:
    left, top, right, bottom = box
    fits = left > -0.01 and top > -0.01
    fits = fits and right < size.width_mm + 0.01 and bottom < size.height_mm + 0.01
    return [] if fits else [f"{what}: {box}"]


def bars(data: bytes) -> list[float]:
    """Return the widths of the two bars that prove the scale."""
    flat = [right - left for left, low, right, high in boxes(data) if 1.3 < high - low < 1.5]
    return sorted(flat)[-2:]


@PAPERS
@pytest.mark.parametrize("parts", [0, 6, 80])
def test_a_build_sheet_is_always_one_page(paper: PageSize, parts: int) -> None:
    drawing = build_sheet(content(parts), paper)
    assert outside_paper(drawing) == []
    data = write_pdf(drawing)
    with opened(data) as pdf:
        assert len(pdf.pages) == 1
        assert pdf.check_pdf_syntax() == []
    assert bars(data) == pytest.approx(BAR_PT, abs=0.02)


def test_a_build_sheet_says_all_it_was_given() -> None:
    said = " ".join(text(write_pdf(build_sheet(content(), A4))).split())
    for words in (
        *("Winter rebuild of the Heron", "0.14 s faster on Kestrel Hill, sure by 98 %.", NOTE),
        *("10.214 s", "10.171 to 10.262, 8 runs", "0.143 s faster (0.09 to 0.20).", "Back stairs"),
        *("36.92 ± 0.03 g", "56.87 ± 0.05 g", "19.4 mm, 45 %", "From above, layer 1"),
        *("at most 170 N mm", "0.21 → 0.14", "41 on both doors", "part 6", "Lead: wash hands"),
        *("192.168.1.23:8064/builds/7", "Hillbench, 14 Mar 2026"),
    ):
        assert words in said, words


def test_what_does_not_fit_is_told() -> None:
    said = text(write_pdf(build_sheet(content(200), A4)))
    assert "More stands on the page of the build." in said


def test_without_a_code_the_sheet_says_why() -> None:
    alone = dataclasses.replace(content(), link=Link("", "No code: only this computer sees it."))
    said = " ".join(text(write_pdf(build_sheet(alone, A4))).split())
    assert "No code: only this computer sees it." in said


@settings(max_examples=15, deadline=None)
@given(NAMES, st.integers(0, 40))
def test_any_words_stay_on_the_paper(words: str, parts: int) -> None:
    strange = dataclasses.replace(
        content(parts), title=words, sentence=words, lines=(words,), notes=(words,)
    )
    assert outside_paper(build_sheet(strange, LETTER)) == []


@PAPERS
def test_a_bench_card_never_tears_a_step(paper: PageSize) -> None:
    steps = tuple(
        CardStep(
            f"Step called {n}", "drill 3.1 mm", "0.8 mm deep", ("Eyes.",), "5 min", "36.7 g", n < 3
        )
        for n in range(1, 31)
    )
    drawing = bench_card(CardContent("Heron", ("by Thursday",), steps, LINK, "Hillbench"), paper)
    assert outside_paper(drawing) == []
    count = len(drawing.pages)
    assert count > 2
    data = write_pdf(drawing)
    for page in range(count):
        said = text(data, page)
        assert f"{page + 1} of {count}" in said
        assert said.count("Step called") == said.count("Care: Eyes.") == said.count("Scale after")
    assert sum(text(data, page).count("Step called") for page in range(count)) == 30


@PAPERS
def test_labels_have_their_size_and_lines_to_cut(paper: PageSize) -> None:
    labels = [
        LabelContent("ballast piece", f"Lead {n}", ("7.087 g",), f"http://10.0.0.2:8064/drawer/{n}")
        for n in range(1, 40)
    ]
    drawing = label_page(labels, paper)
    assert outside_paper(drawing) == []
    data = write_pdf(drawing)
    said = "".join(text(data, page) for page in range(len(drawing.pages)))
    assert all(f"Lead {n}" in said for n in range(1, 40))
    cuts = [box for box in boxes(data) if box[2] - box[0] > 150 and box[3] - box[1] > 50]
    assert len(cuts) == 24
    lefts = sorted({round(left, 2) for left, *_ in cuts})
    assert np.diff(lefts) == pytest.approx([LABEL.width_mm / 25.4 * 72] * 2, abs=0.02)
    with opened(data) as pdf:
        assert [str(group.Name) for group in pdf.Root.OCProperties.OCGs] == ["print", "cut"]


def test_a_label_printer_gets_one_label_a_page() -> None:
    labels = [
        LabelContent("screw", "2-56 × 1/4 in, a name that is far too long for one line", ())
    ] * 3
    drawing = label_page(labels, LABEL)
    assert len(drawing.pages) == 3
    assert outside_paper(drawing) == []


def test_a_card_to_share_has_its_size_and_shows_the_car() -> None:
    words = CardWords(
        "Winter rebuild", "Heron", "0.14", "s faster", "on Kestrel Hill", ("56.87 g",), photo()
    )
    image = Image.open(BytesIO(social_card(words)))
    assert image.size == CARD_PX
    pixels = np.asarray(image.convert("RGB")).astype(int)
    assert np.ptp(pixels[315, 900]) < 6  # the photo of the example is grey
    assert abs(pixels[315, 900, 0] - pixels[200, 900, 0]) > 20  # and shaded from top to bottom
    accent = (abs(pixels - [0x0F, 0x6A, 0x5B]).max(axis=2) < 8).sum()
    assert accent > 4000
    page = card_page(words)
    beyond = outside_paper(Drawing("card", (page,)))
    assert [one for one in beyond if not one.startswith("shape")] == []  # the hill runs off it


def test_pixels_and_print_agree() -> None:
    red, blue = Rgb.parse("#c02030"), Rgb.parse("#2f629b")
    rings = path.circle(20, 20, 15) + path.circle(20, 20, 8)
    square = Shape(path.rectangle(0, 0, 20, 20), fill=red, opacity=0.5)
    turned = Transform.turn(45.0).then(Transform.shift(90, 15))
    marks = (
        Shape(rings, fill=blue, rule="evenodd"),
        Shape(path.rectangle(45, 5, 30, 20, 6), fill=red, stroke=Stroke(blue, 1.0)),
        Group((square,), turned, path.circle(10, 10, 8)),
        Words(10, 46, "Heron 4.80 @ Ø", 8, "bold"),
        Photo(photo().data, 80, 40, 15, 8),
    )
    drawing = one_page("both", PageSize("card", 101.6, 50.8), marks)
    pixels = np.asarray(Image.open(BytesIO(write_png(drawing.pages[0], 1016))), dtype=int)
    printed = bitmap(write_pdf(drawing), 254.0)
    assert pixels.shape == printed.shape == (508, 1016, 3)
    gap = abs(pixels - printed).max(axis=2)
    # Edges may differ by a part of a pixel; nothing may be missing or of another colour.
    assert (gap > 60).mean() < 0.004
    assert gap.mean() < 1.0


@PAPERS
def test_heats_have_a_box_for_each_car(paper: PageSize) -> None:
    heats = tuple(
        HeatRow(f"H{n}", (LaneEntry("1", f"Car {n}a"), None, LaneEntry("3", f"Car {n}b", "10.214")))
        for n in range(1, 31)
    )
    given_ = HeatSheetContent(
        "Spring meet", ("Valley",), ("Left", "Middle", "Right"), heats, LINK, "x"
    )
    drawing = heat_sheet(given_, paper)
    assert outside_paper(drawing) == []
    data = write_pdf(drawing)
    pages = [text(data, page) for page in range(len(drawing.pages))]
    assert all("Left" in page and "Right" in page for page in pages)
    said = "".join(pages)
    assert all(f"Car {n}a" in said and f"Car {n}b" in said for n in range(1, 31))
    assert said.count("10.214") == 30
    assert said.count("empty") == 30


def test_results_fit_however_wide_they_are() -> None:
    columns = tuple(ResultColumn(f"Column {n}", "right") for n in range(9))
    rows = tuple(tuple(f"{n}.{row} and more words" for n in range(9)) for row in range(50))
    given_ = ResultsContent(
        "Results", "Meet", (), "Heron won.", columns, rows, ("By mean.",), LINK, "x"
    )
    drawing = results_sheet(given_, A4)
    assert outside_paper(drawing) == []
    said = [text(write_pdf(drawing), page) for page in range(len(drawing.pages))]
    assert all("Column" in page for page in said)
    assert "By mean." in said[-1]


def test_results_say_every_row() -> None:
    columns = (ResultColumn("Place", "right", strong=True), ResultColumn("Car"))
    rows = tuple((str(n), f"Car number {n}") for n in range(1, 71))
    given_ = ResultsContent("Standings", "Season", (), "", columns, rows, (), LINK, "x")
    data = write_pdf(results_sheet(given_, A4))
    with opened(data) as pdf:
        count = len(pdf.pages)
    said = "".join(text(data, page) for page in range(count))
    assert all(f"Car number {n}" in said for n in range(1, 71))


@PAPERS
def test_certificates_lie_on_their_long_side(paper: PageSize) -> None:
    one = CertificateContent(
        "Spring meet",
        "First place",
        "A car with a very long name " * 4,
        "Owner",
        ("10.1 s",),
        "14 Mar",
        "Director",
    )
    drawing = certificates((one, one), paper)
    assert len(drawing.pages) == 2
    assert drawing.pages[0].size == paper.turned()
    assert outside_paper(drawing) == []
    assert "First place" in text(write_pdf(drawing))


def test_sheets_may_be_written_at_the_same_time() -> None:
    code = (
        "import hashlib, sys\n"
        "from concurrent.futures import ThreadPoolExecutor\n"
        "from hillbench.sheets.build_sheet import build_sheet\n"
        "from hillbench.sheets.page import A4\n"
        "from hillbench.sheets.pdf_writer import write_pdf\n"
        "from hillbench.sheets.svg_writer import write_svg\n"
        "from tests.sheets.build_example import content\n"
        "def work(number):\n"
        "    drawing = build_sheet(content(), A4)\n"
        "    svg = write_svg(drawing.pages[0], drawing.title).encode()\n"
        "    return hashlib.sha256(write_pdf(drawing) + svg).hexdigest()\n"
        "with ThreadPoolExecutor(3) as pool:\n"
        "    found = list(pool.map(work, range(3)))\n"
        "sys.exit(len(set(found)) != 1)\n"
    )
    # In a fresh program, so that the fonts are read by all of them at once.
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
