"""Art from SVG files: shapes are read one by one from an allow-list, nothing is run or fetched."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final
from xml.etree.ElementTree import Element, ParseError

from hillbench.decals.artwork import Artwork, Fill, at_origin
from hillbench.decals.colour import Colour, parse_colour
from hillbench.decals.flatten import Ring
from hillbench.decals.shapes import filled
from hillbench.decals.svg_paths import path_rings
from hillbench.errors import InvalidInput, Problem

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

LARGEST_BYTES: Final = 2_000_000
_MOST_ELEMENTS: Final = 4000
_DEEPEST: Final = 64
_MOST_NUMBERS: Final = 60_000
_LARGEST_NUMBER: Final = 1e6
_NUMBER: Final = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_CONTAINERS: Final = frozenset({"svg", "g", "a"})
_SILENT: Final = frozenset({"title", "desc", "metadata", "defs", "namedview"})
_SHAPES: Final = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
_REFUSED: Final[Mapping[str, str]] = {
    **dict.fromkeys(("script", "foreignObject", "handler", "iframe"), "take it out"),
    **dict.fromkeys(("animate", "animateTransform", "set"), "take it out"),
    "style": "save it with colours on each shape (plain SVG, presentation attributes)",
}
"""Refused wherever they stand, with what to do instead."""

_SEE_THROUGH: Final = ("opacity", "fill-opacity", "stroke-opacity")
_GEOMETRY: Final = frozenset(
    {
        *("d", "points", "transform", "x", "y", "width", "height", "rx", "ry", "r"),
        *("cx", "cy", "x1", "y1", "x2", "y2", "stroke-width"),
    }
)
_ALLOWED: Final = "paths and plain shapes filled with plain colours"


@dataclass(frozen=True, slots=True)
class _Style:
    """What is inherited from the groups around a shape."""

    fill: str = "black"
    stroke: str = "none"
    stroke_width: str = "1"
    fill_rule: str = "nonzero"


def read_svg(content: bytes, where: str = "art") -> Artwork:
    """Return the art in an SVG file, its height as drawn, its upper left corner at the origin.

    Parameters
    ----------
    content
        The file.
    where
        Its name, for messages.

    Raises
    ------
    InvalidInput
        If it is too large or no SVG, declares entities, holds scripts, links, text, pictures or
        anything else than plain shapes, or numbers that make no sense.
    """
    root = _parse(content, where)
    _check_elements(root, where)
    fills = [fill for fill in _fills(root, _Style(), (), where, 0) if not fill.shape.is_empty]
    if not fills:
        raise InvalidInput([Problem(where, "without any filled shape", _ALLOWED)])
    art = at_origin(Artwork(tuple(fills)))
    left, top, right, bottom = art.bounds_mm()
    if min(right - left, bottom - top) < 1e-3:
        raise InvalidInput([Problem(where, "a shape without area", _ALLOWED)])
    return art


def _parse(content: bytes, where: str) -> Element:
    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import fromstring

    if len(content) > LARGEST_BYTES:
        seen = f"{len(content) / 1e6:.1f} MB large"
        raise InvalidInput([Problem(where, seen, f"at most {LARGEST_BYTES // 1_000_000} MB")])
    try:
        root: Element = fromstring(content, forbid_dtd=False, forbid_entities=True)
    except DefusedXmlException:
        remedy = "save it anew as plain SVG"
        raise InvalidInput(
            [Problem(where, "an SVG that declares entities", _ALLOWED, remedy)]
        ) from None
    except (ParseError, ValueError, LookupError) as error:
        seen = f"no SVG that can be read ({str(error)[:60]})"
        raise InvalidInput([Problem(where, seen, "an SVG file", "export it anew")]) from None
    if _name(root) != "svg":
        raise InvalidInput([Problem(where, f"a file of <{_name(root)[:20]}>", "an SVG file")])
    return root


def _check_elements(root: Element, where: str) -> None:
    numbers = 0
    for elements, element in enumerate(root.iter(), start=1):
        for key, value in element.attrib.items():
            _check_attribute(_local(key), value, where)
            if _local(key) in _GEOMETRY:
                numbers += _check_numbers(value, where)
        if elements > _MOST_ELEMENTS or numbers > _MOST_NUMBERS:
            seen = f"more than {_MOST_ELEMENTS} elements or {_MOST_NUMBERS} numbers"
            raise InvalidInput([Problem(where, seen, "a simpler drawing", "simplify its paths")])
        name = _name(element)
        if name in _REFUSED:
            seen = f"an SVG with <{name}>"
            raise InvalidInput([Problem(where, seen, _ALLOWED, _REFUSED[name])])


def _check_attribute(key: str, value: str, where: str) -> None:
    if key.lower().startswith("on"):
        raise InvalidInput([Problem(where, f"an SVG with a script in {key[:20]}", _ALLOWED)])
    if key == "href" or "url(" in value.replace(" ", "").lower():
        if key == "href":
            seen = f"an SVG with a link to {value[:40]!r}"
        else:
            seen = "an SVG with a gradient, pattern, mask or filter"
        raise InvalidInput([Problem(where, seen, _ALLOWED, "turn it into plain shapes")])


def _check_numbers(value: str, where: str) -> int:
    count = 0
    for match in _NUMBER.finditer(value):
        count += 1
        if not abs(float(match.group())) <= _LARGEST_NUMBER:
            seen = f"an SVG with the number {match.group()[:20]}"
            raise InvalidInput([Problem(where, seen, f"numbers up to {_LARGEST_NUMBER:g}")])
    return count


_Transforms = tuple[str, ...]


def _fills(
    element: Element, style: _Style, around: _Transforms, where: str, depth: int
) -> Iterator[Fill]:
    name = _name(element)
    if name in _SILENT or not name:
        return
    if depth > _DEEPEST:
        raise InvalidInput([Problem(where, "groups nested too deep", f"at most {_DEEPEST} deep")])
    if name not in _CONTAINERS | _SHAPES:
        remedy = "turn text into paths" if name == "text" else "turn it into plain shapes"
        raise InvalidInput([Problem(where, f"an SVG with <{name[:20]}>", _ALLOWED, remedy)])
    values = _values(element)
    if values.get("display") == "none":
        return
    if any(values.get(key, "1").strip() not in ("1", "1.0", "100%") for key in _SEE_THROUGH):
        seen = "an SVG with half-transparent shapes"
        raise InvalidInput([Problem(where, seen, _ALLOWED, "flatten it to solid colours")])
    inner = _inherit(style, values)
    transforms = (*around, element.get("transform", "")) if element.get("transform") else around
    if name in _SHAPES:
        yield from _shape_fills(name, element, inner, transforms, where)
    else:
        for child in element:
            yield from _fills(child, inner, transforms, where, depth + 1)


def _shape_fills(
    name: str, element: Element, style: _Style, transforms: _Transforms, where: str
) -> Iterator[Fill]:
    closed, lines = path_rings(name, element.attrib, transforms, where)
    fill = _colour(style.fill, where)
    if fill is not None and closed:
        yield Fill(fill, filled(closed, even_odd=style.fill_rule == "evenodd"), "art")
    stroke = _colour(style.stroke, where)
    if stroke is not None and lines:
        yield Fill(stroke, _stroked(lines, style.stroke_width, transforms, where), "art")


def _stroked(
    lines: list[tuple[Ring, bool]], width: str, transforms: _Transforms, where: str
) -> BaseGeometry:
    from shapely import union_all
    from shapely.geometry import LineString

    from hillbench.decals.svg_paths import scale_of

    match = _NUMBER.search(width)
    half = abs(float(match.group())) / 2.0 * scale_of(transforms, where) if match else 0.5
    drawn = [LineString([*ring, ring[0]] if closed else ring) for ring, closed in lines]
    return union_all([line.buffer(half, quad_segs=16) for line in drawn])


def _values(element: Element) -> Mapping[str, str]:
    values = {_local(key): value for key, value in element.attrib.items()}
    for rule in values.get("style", "").split(";"):
        key, _, value = rule.partition(":")
        values[key.strip()] = value.strip()
    return values


def _inherit(style: _Style, values: Mapping[str, str]) -> _Style:
    return _Style(
        values.get("fill", style.fill),
        values.get("stroke", style.stroke),
        values.get("stroke-width", style.stroke_width),
        values.get("fill-rule", style.fill_rule),
    )


def _colour(text: str, where: str) -> Colour | None:
    plain = text.strip()
    if plain in ("none", "transparent"):
        return None
    if plain == "currentColor":
        return Colour(0.0, 0.0, 0.0)
    try:
        return parse_colour(plain, where)
    except InvalidInput:
        return _named(plain, where)


def _named(text: str, where: str) -> Colour:
    """Return a colour by any of the other names of SVG."""
    from svgelements import Color

    known: Any = Color(text).hex if text.isalpha() and len(text) < 30 else None
    if not isinstance(known, str) or not re.fullmatch(r"#[0-9a-f]{6}", known):
        seen = f"an SVG with the colour {text[:30]!r}"
        raise InvalidInput([Problem(where, seen, "colours as #rrggbb or by name")])
    return parse_colour(known)


def _name(element: Element) -> str:
    return _local(element.tag) if isinstance(element.tag, str) else ""


def _local(name: str) -> str:
    return name.rpartition("}")[2]
