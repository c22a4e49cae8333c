"""Hostile and plain SVG files."""

from __future__ import annotations

import math
import time
import tracemalloc

import pytest

from hillbench.decals.vector_art import read_svg
from hillbench.errors import InvalidInput

OPEN = b'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">'


def svg(inner: str) -> bytes:
    return OPEN + inner.encode() + b"</svg>"


def test_shapes_have_their_measure() -> None:
    """Areas and places by textbook formulas."""
    inner = (
        '<g transform="translate(5 5) scale(2)"><circle cx="5" cy="5" r="3" fill="red"/></g>'
        '<rect x="30" y="0" width="6" height="4" rx="1" style="fill:#00ff00"/>'
        '<path fill="navy" d="M0 30 h10 v5 h-10 z"/>'
        '<path fill="none" stroke="black" stroke-width="2" d="M40 30 h10"/>'
    )
    art = read_svg(svg(inner))
    circle, rect, path, line = art.fills
    assert circle.shape.area == pytest.approx(math.pi * 36.0, rel=1e-3)
    assert rect.shape.area == pytest.approx(24.0 - (4.0 - math.pi), rel=1e-3)
    assert path.shape.area == pytest.approx(50.0)
    assert line.shape.area == pytest.approx(20.0 + math.pi, rel=2e-3)
    assert [fill.colour.code for fill in art.fills] == ["#ff0000", "#00ff00", "#000080", "#000000"]
    assert circle.shape.centroid.x - path.shape.bounds[0] == pytest.approx(15.0, abs=1e-3)


def test_order_of_transforms_is_outside_in() -> None:
    """Scaling then moving is not moving then scaling (SVG 1.1, 7.6)."""
    inner = (
        '<rect width="1" height="1"/><g transform="translate(10,0)">'
        '<g transform="scale(3) rotate(90)"><rect x="1" width="2" height="1"/></g></g>'
    )
    art = read_svg(svg(inner))
    moved = art.fills[1].shape
    offset = art.fills[0].shape.bounds[0]
    # rotate: x 1..3, y 0..1 becomes x −1..0, y 1..3; times 3; plus 10.
    assert [value - offset for value in moved.bounds[::2]] == pytest.approx([7.0, 10.0])
    assert moved.bounds[3] - moved.bounds[1] == pytest.approx(6.0)


def test_even_odd_holes() -> None:
    d = "M0 0h10v10h-10z M2 2h6v6h-6z"
    whole = read_svg(svg(f'<path d="{d}"/>')).fills[0].shape.area
    holed = read_svg(svg(f'<path fill-rule="evenodd" d="{d}"/>')).fills[0].shape.area
    assert (whole, holed) == (pytest.approx(100.0), pytest.approx(64.0))


BOMB = (
    b'<!DOCTYPE svg [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">'
    b'<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;"><!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;">]>'
    b"<svg>&d;</svg>"
)
FETCH = b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]><svg>&x;</svg>'


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (svg("<script>alert(1)</script>"), "an SVG with <script>"),
        (svg('<rect width="1" height="1" onclick="x()"/>'), "a script in onclick"),
        (svg('<a xlink:href="https://example.org"/>'), "a link to 'https://example.org'"),
        (svg('<image href="file:///etc/hostname"/>'), "a link to 'file:///etc/hostname'"),
        (svg('<use href="#a"/>'), "a link to '#a'"),
        (svg("<foreignObject><b/></foreignObject>"), "<foreignObject>"),
        (svg('<style>rect{fill:red}</style><rect width="1" height="1"/>'), "<style>"),
        (svg('<defs><style>x</style></defs><rect width="1" height="1"/>'), "<style>"),
        (svg('<rect fill="url(#g)" width="1" height="1"/>'), "gradient, pattern, mask or filter"),
        (svg('<text x="1">64</text>'), "turn text into paths"),
        (svg('<path d="M0 0L1e300 5z"/>'), "the number 1e300"),
        (svg('<path d="M0 0L1e999 5z"/>'), "the number 1e999"),
        (svg('<rect width="9999999999" height="2"/>'), "the number 9999999999"),
        (svg('<rect opacity="0.5" width="3" height="2"/>'), "half-transparent"),
        (svg('<path d="M0 0 Q"/>'), "a <path> that cannot be read"),
        (svg('<rect width="2" height="2" transform="matrix(nonsense"/>'), "cannot be read"),
        (svg('<rect width="2" height="2" fill="puce-ish"/>'), "the colour 'puce-ish'"),
        (svg("<g/>" * 5000), "more than 4000 elements"),
        (svg("<g>" * 100 + '<rect width="1" height="1"/>' + "</g>" * 100), "nested too deep"),
        (svg(f'<path d="M0 0{" L1 2" * 40000}"/>'), "60000 numbers"),
        (svg(""), "without any filled shape"),
        (svg('<rect width="2" height="0"/>'), "without any filled shape"),
        (BOMB, "declares entities"),
        (FETCH, "declares entities"),
        (b"<html/>", "a file of <html>"),
        (b"<svg", "no SVG that can be read"),
        (b"", "no SVG that can be read"),
        (b"<svg>" + b" " * 2_100_000 + b"</svg>", "2.1 MB large"),
    ],
)
def test_hostile_files_are_refused_in_one_sentence(content: bytes, told: str) -> None:
    tracemalloc.start()
    began = time.process_time()
    with pytest.raises(InvalidInput) as wrong:
        read_svg(content, "logo.svg")
    spent_s = time.process_time() - began
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(wrong.value.problems) == 1
    sentence = wrong.value.problems[0].sentence()
    assert told in sentence
    assert sentence.startswith("logo.svg is ")
    assert "\n" not in sentence
    assert peak < 60_000_000
    assert spent_s < 10.0
