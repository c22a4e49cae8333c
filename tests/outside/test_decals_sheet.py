"""Sheets of decals: lengths read back from PDF, SVG and DXF; cut lines; nesting cut from sheets."""

from __future__ import annotations

import io
import math
import re
from typing import Any

import numpy as np
import pytest
from ezdxf import filemanagement
from shapely.geometry import LineString, MultiPoint, Polygon, box

from hillbench.decals.cut_line import cut_line
from hillbench.decals.item import Item
from hillbench.decals.lettering import Lettering, set_text
from hillbench.decals.nest import Nesting, Outline, nest
from hillbench.decals.sheet_size import SheetSize
from hillbench.usecases.decal_question import DecalQuestion
from hillbench.usecases.plan_decals import DecalPlan, plan_decals
from hillbench.usecases.print_decals import cut_dxf_of, cut_svg, print_svg, sheet_pdf
from tests.outside.registry import Outside
from tests.sheets.pdf_reading import POINTS_PER_MM, bitmap, boxes, opened, size, text

AREA = "Decals"
PDFIUM = "PDFium, through pypdfium2"


@pytest.fixture(scope="module")
def plan() -> DecalPlan:
    """One large digit on a small sheet, so that every size is plain."""
    item = Item("bar", "1", height_mm=40.0, colour="#000000", grain_fixed=True)
    question = DecalQuestion(
        (item,),
        sheet=SheetSize(140.0, 90.0),
        film="white",
        white_layer=True,
        mirrored_page=True,
    )
    return plan_decals(question, {})


@pytest.fixture(scope="module")
def pdf(plan: DecalPlan) -> bytes:
    return sheet_pdf(plan)


def test_paper_and_print_in_the_pdf(plan: DecalPlan, pdf: bytes, outside: Outside) -> None:
    left, top, right, bottom = plan.pieces[0].art.bounds_mm()
    spot = plan.nesting.spots[0]
    printed = boxes(pdf)[0]
    height_pt = 90.0 / 25.4 * 72.0
    lengths = {
        "width of the sheet": (140.0, size(pdf)[0]),
        "height of the sheet": (90.0, size(pdf)[1]),
        "height of a 40 mm digit": (40.0, printed[3] - printed[1]),
        "its width": (right - left, printed[2] - printed[0]),
        "its left edge": (spot.x_mm + left, printed[0]),
        "its upper edge": (spot.y_mm + top, height_pt - printed[3]),
    }
    assert bottom - top == pytest.approx(40.0, abs=1e-9)
    for name, (want_mm, got_pt) in lengths.items():
        outside.check(
            f"PDF: {name}",
            source=f"1 in = 25.4 mm = 72 pt (ISO 32000-1, 8.3.2.3), read with {PDFIUM}",
            how="run",
            expected=want_mm / 25.4 * 72.0,
            got=got_pt,
            within=0.02,
            unit="pt",
        )


def test_bar_and_digit_as_printed(plan: DecalPlan, pdf: bytes, outside: Outside) -> None:
    dots = 600.0
    dark = bitmap(pdf, dots).max(axis=2) < 128  # black, not the cut line
    rows = np.nonzero(dark[: round(60.0 / 25.4 * dots)].any(axis=1))[0]
    outside.check(
        "PDF at 600 dpi: height of a 40 mm digit",
        source=f"40 mm × 600 / 25.4, rendered with {PDFIUM}",
        how="run",
        expected=40.0 / 25.4 * dots,
        got=float(rows[-1] - rows[0] + 1),
        within=1.0,
        unit="px",
    )
    foot_mm = plan.question.sheet.height_mm - plan.question.sheet.margin_bottom_mm - 13.0
    row = round((foot_mm + 3.4 + 0.25) / 25.4 * dots)
    columns = np.nonzero(dark[row, : round(107.5 / 25.4 * dots)])[0]
    outside.check(
        "PDF at 600 dpi: the 100 mm bar",
        source=f"100 mm × 600 / 25.4, rendered with {PDFIUM}",
        how="run",
        expected=100.0 / 25.4 * dots,
        got=float(columns[-1] - columns[0] + 1),
        within=1.0,
        unit="px",
    )


def test_pages_layers_and_profile(pdf: bytes) -> None:
    """Print with cut lines, white, mirrored, guide; layers by name; an embedded profile."""
    read: Any = opened(pdf)
    assert len(read.pages) == 4
    groups = {str(one.Name) for one in read.Root.OCProperties.OCGs}
    assert groups == {"print", "cut", "white", "guide"}
    profile = read.Root.OutputIntents[0].DestOutputProfile
    assert b"sRGB" in bytes(profile.read_bytes()) or b"s\0R\0G\0B" in bytes(profile.read_bytes())
    assert str(read.Root.ViewerPreferences.PrintScaling) == "/None"


def test_the_test_strip_has_every_colour() -> None:
    inks = ("#c8102e", "#e3c653", "#23506b", "#0f6a5b")
    items = tuple(Item(ink, "1", colour=ink, count=1) for ink in inks)
    plan = plan_decals(DecalQuestion(items, sheet=SheetSize(140.0, 60.0)), {})
    data = sheet_pdf(plan)
    assert all(ink in text(data) for ink in inks)
    foot = bitmap(data, 200.0)[round(40.0 / 25.4 * 200) :]
    for ink in inks:
        want = np.array([int(ink[at : at + 2], 16) for at in (1, 3, 5)])
        near = np.abs(foot - want).max(axis=2) <= 2
        assert near.sum() > 0.9 * (5.2 / 25.4 * 200) * (4.1 / 25.4 * 200), ink


def test_mirrored_page_is_the_mirror_image(pdf: bytes) -> None:
    top = round(50.0 / 25.4 * 150.0)
    plain, mirrored = (bitmap(pdf, 150.0, page)[:top] for page in (0, 2))
    assert (np.abs(plain - mirrored[:, ::-1]).sum(axis=2) > 150).mean() < 2e-4
    assert (np.abs(plain - mirrored).sum(axis=2) > 150).mean() > 1e-2


def test_svg_in_true_size(plan: DecalPlan, outside: Outside) -> None:
    written = print_svg(plan, 0)
    assert 'width="140mm" height="90mm" viewBox="0 0 140 90"' in written
    path = re.search(r'<path d="([^"]*)" fill="#000000"', written)
    assert path is not None
    numbers = [float(one) for one in re.findall(r"-?\d+\.?\d*", path[1])]
    outside.check(
        "SVG: height of a 40 mm digit, user units of 1 mm",
        source="SVG 1.1, 7.10: width and viewBox set the unit; read from the file's numbers",
        how="run",
        expected=40.0,
        got=max(numbers[1::2]) - min(numbers[1::2]),
        within=1e-3,
        unit="mm",
    )


def test_cut_lines_as_dxf_and_svg(plan: DecalPlan, outside: Outside) -> None:
    document = filemanagement.read(io.StringIO(cut_dxf_of(plan, 0)))
    assert document.header["$INSUNITS"] == 4  # mm
    lines = list(document.modelspace().query("LWPOLYLINE"))
    assert len(lines) == 1
    assert lines[0].closed
    points = [(x, y) for x, y, *_ in lines[0].get_points()]
    cut = plan.pieces[0].cut.shape
    read = Polygon(points)
    outside.check(
        "DXF: length of a cut line read back with ezdxf",
        source="shapely: length of the outline",
        how="run",
        expected=cut.exterior.length,
        got=read.exterior.length,
        rel=1e-6,
        unit="mm",
    )
    assert read.bounds[3] == pytest.approx(90.0 - plan.nesting.spots[0].y_mm - cut.bounds[1])
    numbers = [float(one) for one in re.findall(r"-?\d+\.\d+", cut_svg(plan, 0))]
    assert len(numbers) > 2 * len(points)


@pytest.mark.parametrize(("letter", "gap_mm", "radius_mm"), [("O", 0.7, 0.0), ("8", 0.5, 0.5)])
def test_cut_line_at_a_true_distance(
    letter: str, gap_mm: float, radius_mm: float, outside: Outside
) -> None:
    """Points of the cut line have the gap as least distance, and no more where it bulges."""
    shape = set_text(Lettering(letter, "narrow", "bold", 12.0))
    line = cut_line(shape, gap_mm, radius_mm)
    places = [
        line.shape.exterior.interpolate(share, normalized=True)
        for share in np.linspace(0.0, 1.0, 400)
    ]
    distances = [shape.distance(place) for place in places]
    outside.check(
        f"least distance of the cut line round {letter}",
        source="shapely: distance of points to the print",
        how="run",
        expected=gap_mm,
        got=min(distances),
        within=1e-3,
        unit="mm",
    )
    hull = shape.convex_hull
    bulging = [
        d
        for d, place in zip(distances, places, strict=True)
        if hull.distance(place) > gap_mm - 1e-3
    ]
    assert len(bulging) > 50
    assert max(bulging) < gap_mm + 1e-3


def test_outward_corners_are_round(outside: Outside) -> None:
    """Round a square the corner of the cut line is an arc of the gap: fit a circle to it."""
    line = cut_line(box(0.0, 0.0, 8.0, 8.0), 0.4, 1.2).shape.exterior
    corner = [point for point in line.coords if point[0] > 8.0 and point[1] > 8.0]
    assert len(corner) > 10
    radii = [math.dist(point, (8.0, 8.0)) for point in corner]
    outside.check(
        "least corner radius of 1.2 mm round a square printed with a gap of 0.4 mm",
        source="arc about the corner of the print: the gap grows to the radius",
        how="closed form",
        expected=1.2,
        got=min(radii),
        within=1e-3,
        unit="mm",
    )
    assert MultiPoint(corner).convex_hull.area > 0.0
    assert LineString(line.coords).is_simple


def cut_sheet(
    rng: np.random.Generator, width: float, height: float, cuts: int
) -> list[tuple[float, float]]:
    """Return the sizes of pieces that a sheet falls into by cuts from edge to edge."""
    pieces = [(width, height)]
    for _ in range(cuts):
        at = int(np.argmax([w * h for w, h in pieces]))
        wide, high = pieces.pop(at)
        share = float(rng.uniform(0.35, 0.65))
        if wide >= high:
            first = round(wide * share, 1)
            pieces += [(first, high), (round(wide - first, 1), high)]
        else:
            first = round(high * share, 1)
            pieces += [(wide, first), (wide, round(high - first, 1))]
    return pieces


@pytest.mark.parametrize("seed", [1, 2, 3, 4, 5, 6])
def test_sheets_cut_apart_go_back_on_as_many(seed: int, outside: Outside) -> None:
    """Two sheets cut into 10 pieces fill two sheets to the last hundredth: the optimum is 2."""
    rng = np.random.default_rng(seed)
    sheet = SheetSize(120.0, 90.0, 0.0, 0.0, 0.0, 0.0)
    sizes = [piece for _ in range(2) for piece in cut_sheet(rng, 120.0, 90.0, 4)]
    order = rng.permutation(len(sizes))
    outlines = [Outline(box(0.0, 0.0, *sizes[at])) for at in order]
    found = nest(outlines, sheet, 0.0, "quarter", proof_s=120.0)
    source = "guillotine cuts of two full sheets, optimum 2 by construction"
    for name, got in (("sheets", found.sheets), ("bound", found.bound)):
        outside.check(
            f"nesting, instance {seed}: {name}",
            source=source,
            how="exact",
            expected=2.0,
            got=float(got),
            within=0.0,
        )
    assert found.used_fraction == pytest.approx(1.0)
    require_clean(found, sizes, list(order))


def require_clean(found: Nesting, sizes: list[tuple[float, float]], order: list[int]) -> None:
    laid: dict[int, list[Polygon]] = {}
    for at, spot in zip(order, found.spots, strict=True):
        wide, high = sizes[at] if spot.turn_deg == 0.0 else sizes[at][::-1]
        left = spot.x_mm if spot.turn_deg == 0.0 else spot.x_mm - wide
        laid.setdefault(spot.sheet, []).append(box(left, spot.y_mm, left + wide, spot.y_mm + high))
    for pieces in laid.values():
        assert all(box(0, 0, 120, 90).buffer(1e-6).covers(piece) for piece in pieces)
        overlap = sum(
            one.intersection(other).area
            for index, one in enumerate(pieces)
            for other in pieces[:index]
        )
        assert overlap < 1e-6


def test_points_per_mm() -> None:
    assert math.isclose(POINTS_PER_MM, 72.0 / 25.4)
