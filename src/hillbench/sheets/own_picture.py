"""Turns one of our own SVG pictures into marks of a sheet.

Only what the pictures of this app are made of is known; anything else is refused, so that
nothing falls off a sheet in silence. Style classes take the colours of light paper.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from hillbench.pictures.palette import STYLES, literal_attributes
from hillbench.sheets import path
from hillbench.sheets.colour import Rgb
from hillbench.sheets.drawing import Anchor, Cap, Group, Join, Mark, Shape, Stroke, Words
from hillbench.sheets.path import Path, Pen, Point, Transform

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_NUMBER: Final = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_COMMAND: Final = re.compile(r"([A-Za-z])([^A-Za-z]*)")
_TRANSFORM: Final = re.compile(r"(translate|scale|matrix)\(([^)]*)\)")
_SILENT: Final = {"title", "desc", "metadata"}
_INHERITED: Final = (
    *("fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "stroke-linejoin"),
    *("fill-opacity", "font-size", "font-weight", "text-anchor"),
)
_BOLD: Final = 600.0


@dataclass(frozen=True, slots=True)
class OwnPicture:
    """A picture that can be put on a sheet.

    Attributes
    ----------
    width_px, height_px
        Its size as it was laid out.
    marks
        What it shows, in px.
    """

    width_px: float
    height_px: float
    marks: tuple[Mark, ...] = field(repr=False)

    def placed(self, x_mm: float, y_mm: float, scale_mm_per_px: float) -> Group:
        """Return the picture as a group with its upper left corner at a place."""
        to_sheet = Transform.scale(scale_mm_per_px).then(Transform.shift(x_mm, y_mm))
        return Group(self.marks, to_sheet)

    def fitted(self, x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> Group:
        """Return the picture as large as a box allows, in the middle of it."""
        scale = min(width_mm / self.width_px, height_mm / self.height_px)
        left = x_mm + (width_mm - scale * self.width_px) / 2.0
        return self.placed(left, y_mm + (height_mm - scale * self.height_px) / 2.0, scale)


def read_picture(svg: str) -> OwnPicture:
    """Return one of our pictures as marks; raises `ValueError` for anything it does not know."""
    from defusedxml.ElementTree import fromstring

    root: Element = fromstring(svg)
    left, top, width, height = _numbers(root.get("viewBox", ""))
    marks = tuple(_children(root, {}))
    if left or top:
        marks = (Group(marks, Transform.shift(-left, -top)),)
    return OwnPicture(width, height, marks)


def _children(parent: Element, around: Mapping[str, str]) -> Iterator[Mark]:
    own = {name: text for name, text in _style(parent).items() if name in _INHERITED}
    known: dict[str, str] = {**around, **own}
    for element in parent:
        yield from _element(element, known)


def _element(element: Element, around: Mapping[str, str]) -> Iterator[Mark]:
    name = element.tag.rsplit("}", maxsplit=1)[-1]
    if name in _SILENT:
        return
    if name in {"g", "svg"}:
        marks = tuple(_children(element, around))
        yield Group(marks, _transform(element)) if element.get("transform") else Group(marks)
        return
    style = {**around, **_style(element)}
    if name == "text":
        yield _words(element, style)
        return
    outline = _outline(name, element)
    if outline:
        yield _shape(outline, style)


def _style(element: Element) -> dict[str, str]:
    """Return the presentation attributes of an element, those of its classes included."""
    classes = tuple(name for name in element.get("class", "").split() if name != "picture")
    unknown = [name for name in classes if name not in STYLES]
    if unknown:
        raise ValueError(f"a picture has the style {unknown[0]}, which a sheet cannot draw")
    return {**literal_attributes(classes), **element.attrib}


def _outline(name: str, element: Element) -> Path:
    match name:
        case "rect":
            x, y, width, height, corner = (
                _of(element, key) for key in ("x", "y", "width", "height", "rx")
            )
            return path.rectangle(x, y, width, height, corner)
        case "circle":
            return path.circle(_of(element, "cx"), _of(element, "cy"), _of(element, "r"))
        case "line":
            ends = [(_of(element, f"x{end}"), _of(element, f"y{end}")) for end in (1, 2)]
            return path.polyline(ends)
        case "polyline" | "polygon":
            return path.polyline(_points(element.get("points", "")), closed=name == "polygon")
        case "path":
            return _path_of(element.get("d", ""))
    raise ValueError(f"a picture holds <{name}>, which a sheet cannot draw")


def _path_of(data: str) -> Path:
    """Return the path of ``d`` written with the absolute commands M, L, C and Z."""
    pen = Pen()
    for command, rest in _COMMAND.findall(data):
        if command not in "MLCZ":
            raise ValueError(f"a picture has the path command {command}, which a sheet cannot draw")
        places = _points(rest)
        if command == "M":
            pen.move(*places[0])
            places = places[1:]
        if command in "ML":
            for place in places:
                pen.line(*place)
        elif command == "C":
            for start in range(0, len(places), 3):
                pen.curve(*places[start : start + 3])
        elif command == "Z":
            pen.close()
    return pen.path


def _shape(outline: Path, style: Mapping[str, str]) -> Shape:
    fill = style.get("fill", "#000000")
    line = style.get("stroke", "none")
    return Shape(
        outline,
        fill=None if fill == "none" else Rgb.parse(fill),
        stroke=None if line == "none" else _stroke(line, style),
        opacity=float(style.get("fill-opacity", "1")),
    )


def _stroke(colour: str, style: Mapping[str, str]) -> Stroke:
    caps: dict[str, Cap] = {"butt": "butt", "round": "round", "square": "square"}
    joins: dict[str, Join] = {"miter": "miter", "round": "round", "bevel": "bevel"}
    return Stroke(
        Rgb.parse(colour),
        float(style.get("stroke-width", "1")),
        tuple(_numbers(style.get("stroke-dasharray", ""))),
        caps[style.get("stroke-linecap", "butt")],
        joins[style.get("stroke-linejoin", "miter")],
    )


def _words(element: Element, style: Mapping[str, str]) -> Words:
    anchors: dict[str, Anchor] = {"start": "start", "middle": "middle", "end": "end"}
    return Words(
        _of(element, "x"),
        _of(element, "y"),
        "".join(element.itertext()),
        float(style.get("font-size", "13px").removesuffix("px")),
        "bold" if float(style.get("font-weight", "400")) >= _BOLD else "regular",
        Rgb.parse(style.get("fill", "#000000")),
        anchors[style.get("text-anchor", "start")],
    )


def _transform(element: Element) -> Transform:
    whole = Transform()
    for kind, text in reversed(_TRANSFORM.findall(element.get("transform", ""))):
        values = _numbers(text)
        if kind == "matrix":
            step = Transform(*values)
        elif kind == "scale":
            step = Transform(a=values[0], d=values[-1])
        else:
            step = Transform.shift(values[0], values[1] if len(values) > 1 else 0.0)
        whole = whole.then(step)
    return whole


def _of(element: Element, name: str) -> float:
    return float(element.get(name, "0").removesuffix("px"))


def _points(text: str) -> list[Point]:
    values = _numbers(text)
    return list(zip(values[::2], values[1::2], strict=True))


def _numbers(text: str) -> list[float]:
    return [float(part) for part in _NUMBER.findall(text)]
