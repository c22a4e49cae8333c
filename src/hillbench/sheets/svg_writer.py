"""Writes one page as an SVG file in true size, letters as outlines.

Letters become paths, so that the sheet looks the same on a machine without the font; what they
say stands beside them for screen readers and for a search.
"""

from __future__ import annotations

import base64
from collections.abc import Iterator
from html import escape

from hillbench.sheets import font
from hillbench.sheets.colour import Colour, Spot, shown
from hillbench.sheets.drawing import Group, Layer, Mark, Page, Photo, Shape, Stroke, Words
from hillbench.sheets.path import UNCHANGED, Close, Curve, Line, Move, Path, Transform, transformed

_PNG: bytes = b"\x89PNG"


def write_svg(page: Page, title: str) -> str:
    """Return a page as an SVG file; the same drawing gives the same text.

    Parameters
    ----------
    page
        What to write.
    title
        What it is, in words.

    Notes
    -----
    Written for the W3C's SVG 1.1 (second edition, 2011), which drawing programs and cutters
    read. Layers carry the attributes by which drawing programs know them.
    """
    width, height = _n(page.size.width_mm), _n(page.size.height_mm)
    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        ' xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" version="1.1"'
        f' width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}" role="img"'
        ' aria-labelledby="title">',
        f'<title id="title">{escape(title)}</title>',
    ]
    clips = _Clips()
    for number, layer in enumerate(page.layers, start=1):
        parts += _layer(layer, number, clips)
    parts.append("</svg>\n")
    return "\n".join(parts)


class _Clips:
    """Gives each clip an id of its own."""

    def __init__(self) -> None:
        self._count = 0

    def next_id(self) -> str:
        self._count += 1
        return f"clip-{self._count}"


def _layer(layer: Layer, number: int, clips: _Clips) -> Iterator[str]:
    name = escape(layer.name)
    yield (
        f'<g id="layer-{number}" data-layer="{name}" inkscape:groupmode="layer"'
        f' inkscape:label="{name}">'
    )
    for mark in layer.marks:
        yield from _mark(mark, clips)
    yield "</g>"


def _mark(mark: Mark, clips: _Clips) -> Iterator[str]:
    match mark:
        case Shape():
            yield f'<path d="{path_data(mark.path)}"{_paint(mark)}/>'
        case Words():
            yield _words(mark)
        case Photo():
            kind = "png" if mark.data.startswith(_PNG) else "jpeg"
            data = base64.b64encode(mark.data).decode("ascii")
            yield (
                f'<image x="{_n(mark.x_mm)}" y="{_n(mark.y_mm)}" width="{_n(mark.width_mm)}"'
                f' height="{_n(mark.height_mm)}" preserveAspectRatio="none"'
                f' xlink:href="data:image/{kind};base64,{data}"/>'
            )
        case Group():
            yield from _group(mark, clips)


def _group(group: Group, clips: _Clips) -> Iterator[str]:
    opening = "<g"
    if group.transform != UNCHANGED:
        t = group.transform
        values = " ".join(f"{part:.8g}" for part in (t.a, t.b, t.c, t.d, t.e, t.f))
        opening += f' transform="matrix({values})"'
    if group.clip is not None:
        name = clips.next_id()
        yield (
            f'<clipPath id="{name}"><path d="{path_data(group.clip)}" clip-rule="{group.rule}"/>'
            "</clipPath>"
        )
        # The clip is in the group's own coordinates, so it stands inside the transform.
        opening += f' clip-path="url(#{name})"'
    yield opening + ">"
    for mark in group.marks:
        yield from _mark(mark, clips)
    yield "</g>"


def _words(words: Words) -> str:
    width = font.width_mm(words.text, words.size_mm, words.font)
    start = words.x_mm - {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor] * width
    letters = font.outline(words.text, words.size_mm, words.font)
    path = transformed(letters, Transform.shift(start, words.y_mm))
    return (
        f'<path aria-label="{escape(words.text)}" d="{path_data(path)}"'
        f"{_colour('fill', words.colour)}/>"
    )


def path_data(path: Path) -> str:
    """Return a path as the attribute ``d`` of SVG, to a ten-thousandth of a mm."""
    return "".join(_segments(path))


def _segments(path: Path) -> Iterator[str]:
    for segment in path:
        match segment:
            case Move((x, y)):
                yield f"M{_n(x)} {_n(y)}"
            case Line((x, y)):
                yield f"L{_n(x)} {_n(y)}"
            case Curve(first, second, to):
                yield "C" + " ".join(f"{_n(x)} {_n(y)}" for x, y in (first, second, to))
            case Close():
                yield "Z"


def _paint(shape: Shape) -> str:
    text = ' fill="none"' if shape.fill is None else _colour("fill", shape.fill)
    if shape.fill is not None and shape.rule == "evenodd":
        text += ' fill-rule="evenodd"'
    if shape.fill is not None and shape.opacity < 1.0:
        text += f' fill-opacity="{shape.opacity:g}"'
    return text if shape.stroke is None else text + _stroke(shape.stroke)


def _stroke(stroke: Stroke) -> str:
    text = _colour("stroke", stroke.colour) + f' stroke-width="{_n(stroke.width_mm)}"'
    if stroke.dash_mm:
        text += f' stroke-dasharray="{" ".join(_n(part) for part in stroke.dash_mm)}"'
    if stroke.cap != "butt":
        text += f' stroke-linecap="{stroke.cap}"'
    if stroke.join != "miter":
        text += f' stroke-linejoin="{stroke.join}"'
    return text


def _colour(attribute: str, colour: Colour) -> str:
    text = f' {attribute}="{shown(colour).code()}"'
    return text + f' data-spot="{escape(colour.name)}"' if isinstance(colour, Spot) else text


def _n(value: float) -> str:
    """Return a number to four decimals without trailing zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
