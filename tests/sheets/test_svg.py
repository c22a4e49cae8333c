from __future__ import annotations

from io import BytesIO
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PIL import Image
from svgelements import SVG
from svgelements import Path as SvgPath

from hillbench.sheets import path
from hillbench.sheets.colour import CUT, Rgb
from hillbench.sheets.drawing import Group, Layer, Page, Photo, Shape, Stroke, Words
from hillbench.sheets.font import width_mm
from hillbench.sheets.page import A4
from hillbench.sheets.path import Transform
from hillbench.sheets.svg_writer import write_svg

NS = {"s": "http://www.w3.org/2000/svg"}
MM = 96.0 / 25.4


def page(*marks: object) -> Page:
    return Page(A4, (Layer("print", marks),))  # type: ignore[arg-type]


def paths(text: str) -> list[SvgPath]:
    """Return every path as another SVG reader sees it, in px of 1/96 in."""
    read = SVG.parse(BytesIO(text.encode()), reify=True)
    return [one for one in read.elements() if isinstance(one, SvgPath)]


def test_the_page_has_its_true_size() -> None:
    root = ET.fromstring(write_svg(page(), "A < B & C"))
    assert (root.get("width"), root.get("height")) == ("210mm", "297mm")
    assert root.get("viewBox") == "0 0 210 297"
    title = root.find("s:title", NS)
    assert title is not None
    assert title.text == "A < B & C"


def test_another_reader_sees_true_lengths() -> None:
    bar = Shape(path.rectangle(20, 30, 100, 5), fill=Rgb(0, 0, 0))
    ring = Shape(path.circle(100, 200, 25), stroke=Stroke())
    first, second = paths(write_svg(page(bar, ring), "bar"))
    assert first.bbox() == pytest.approx(tuple(MM * v for v in (20, 30, 120, 35)), abs=1e-3)
    assert second.bbox() == pytest.approx(tuple(MM * v for v in (75, 175, 125, 225)), abs=2e-3)


def test_another_reader_follows_groups_and_rules() -> None:
    inner = Shape(path.rectangle(0, 0, 10, 4), fill=Rgb(1, 0, 0), rule="evenodd", opacity=0.5)
    at = Transform.turn(90.0).then(Transform.shift(50, 60))
    text = write_svg(page(Group((inner,), at, clip=path.circle(0, 0, 5))), "group")
    (seen,) = [one for one in paths(text) if one.fill.value is not None]
    assert seen.bbox() == pytest.approx(tuple(MM * v for v in (46, 60, 50, 70)), abs=1e-3)
    assert 'fill-rule="evenodd"' in text
    assert 'fill-opacity="0.5"' in text
    assert 'clip-path="url(#clip-1)"' in text


def test_words_are_outlines_that_say_what_they_are() -> None:
    text = write_svg(page(Words(200, 50, "Hx 3 & 4", 10, anchor="end")), "words")
    root = ET.fromstring(text)
    (found,) = root.findall(".//s:path", NS)
    assert found.get("aria-label") == "Hx 3 & 4"
    left, top, right, bottom = (value / MM for value in paths(text)[0].bbox())
    assert right <= 200.0
    assert left == pytest.approx(200.0 - width_mm("Hx 3 & 4", 10.0), abs=1.0)
    assert bottom == pytest.approx(50.0, abs=0.3)
    assert top == pytest.approx(50.0 - 7.0, abs=0.6)


def test_layers_are_known_to_drawing_programs() -> None:
    layers = (Layer("print", ()), Layer("cut", (Shape(path.circle(9, 9, 5), stroke=Stroke(CUT)),)))
    text = write_svg(Page(A4, layers), "two")
    root = ET.fromstring(text)
    assert [one.get("data-layer") for one in root.findall("s:g", NS)] == ["print", "cut"]
    assert 'data-spot="CutContour"' in text
    assert 'inkscape:groupmode="layer"' in text


def test_photos_are_inside_the_file() -> None:
    raw = BytesIO()
    Image.fromarray(np.zeros((4, 4, 3), dtype=np.uint8)).save(raw, "JPEG")
    root = ET.fromstring(write_svg(page(Photo(raw.getvalue(), 1, 2, 3, 4)), "photo"))
    (image,) = root.findall(".//s:image", NS)
    address = image.get("{http://www.w3.org/1999/xlink}href", "")
    assert address.startswith("data:image/jpeg;base64,")
