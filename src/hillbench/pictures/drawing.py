"""A thin layer over the SVG writer: marks with style classes, escaped words, whole pictures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Literal

import svg

from hillbench.pictures import palette

NARROW_PX = 350
"""Width of a picture for a phone."""

MIDDLE_PX = 600
"""Width of a picture for a column in between."""

ROOMY_PX = 560
"""From this width on, labels stand beside what they name."""

WIDE_PX = 900
"""Width of a picture for a laptop."""

Mark = svg.Element
"""One mark on the paper."""

Anchor = Literal["start", "middle", "end"]
Data = Mapping[str, object]
Point = tuple[float, float]


def words(
    x: float, y: float, text: str, *styles: str, anchor: Anchor = "start", data: Data | None = None
) -> svg.Element:
    """Return words at a place on their base line."""
    return svg.Text(
        x=_round(x),
        y=_round(y),
        text=escape(text),
        text_anchor=anchor,
        class_=list(styles or ("words",)),
        data=_escaped(data),
    )


def line(first: Point, second: Point, *styles: str, data: Data | None = None) -> svg.Element:
    """Return a straight line between two places."""
    return svg.Line(
        x1=_round(first[0]),
        y1=_round(first[1]),
        x2=_round(second[0]),
        y2=_round(second[1]),
        class_=list(styles),
        data=_escaped(data),
    )


def polyline(points: Iterable[Point], *styles: str, data: Data | None = None) -> svg.Element:
    """Return a line through many places."""
    return svg.Polyline(points=_corners(points), class_=list(styles), data=_escaped(data))


def polygon(points: Iterable[Point], *styles: str, data: Data | None = None) -> svg.Element:
    """Return a filled outline."""
    return svg.Polygon(points=_corners(points), class_=list(styles), data=_escaped(data))


def box(
    x: float, y: float, width: float, height: float, *styles: str, data: Data | None = None
) -> svg.Element:
    """Return a filled box with its upper left corner at a place."""
    return svg.Rect(
        x=_round(x),
        y=_round(y),
        width=_round(max(width, 0.0)),
        height=_round(max(height, 0.0)),
        class_=list(styles),
        data=_escaped(data),
    )


def dot(x: float, y: float, *styles: str, radius: float = 4.0) -> svg.Element:
    """Return a dot centred on a place."""
    return svg.Circle(cx=_round(x), cy=_round(y), r=radius, class_=list(styles or ("dot",)))


def cross(x: float, y: float, size: float = 7.0) -> list[svg.Element]:
    """Return the mark of a place where something went wrong."""
    return [
        line((x - size, y - size), (x + size, y + size), "cross"),
        line((x - size, y + size), (x + size, y - size), "cross"),
    ]


def group(elements: Sequence[svg.Element], data: Data | None = None) -> svg.Element:
    """Return marks that belong together."""
    return svg.G(elements=list(elements), data=_escaped(data))


def picture(
    key: str,
    title: str,
    description: str,
    size: tuple[float, float],
    elements: Sequence[svg.Element],
    *,
    standalone: bool = False,
    data: Data | None = None,
) -> str:
    """Return a whole picture as SVG text.

    Parameters
    ----------
    key
        Name of the picture, unique in its page; letters, digits and hyphens.
    title, description
        What it shows and what it says, in words, for those who do not see it.
    size
        Width and height, in px.
    elements
        Marks in drawing order.
    standalone
        Whether it is to be a file of its own: colours go into the marks and paper behind them.
    data
        Values for a script that reads the picture.
    """
    title_id, description_id = f"{key}-title", f"{key}-description"
    marks: list[svg.Element] = [
        svg.Title(id=title_id, text=escape(title)),
        svg.Desc(id=description_id, text=escape(description)),
    ]
    if standalone:
        marks.append(box(0, 0, *size, "paper"))
    marks.extend(elements)
    if standalone:
        _write_styles_in(marks)
    root = svg.SVG(
        viewBox=svg.ViewBoxSpec(0, 0, _round(size[0]), _round(size[1])),
        class_=["picture"],
        elements=marks,
        data=_escaped(data),
        extra={"role": "img", "aria-labelledby": f"{title_id} {description_id}"},
    )
    if standalone:
        root.width, root.height = _round(size[0]), _round(size[1])
        root.extra = {**(root.extra or {}), "font-family": palette.FONT_FAMILY}
    return root.as_str()


def in_own_colours(element: Mark) -> str:
    """Return one mark as SVG text with its colours written into it."""
    _write_styles_in([element])
    return element.as_str()


def _write_styles_in(elements: Iterable[svg.Element]) -> None:
    """Turn style classes into presentation attributes, which every viewer knows."""
    for element in elements:
        styles = getattr(element, "class_", None)
        if styles:
            element.extra = {**(element.extra or {}), **palette.literal_attributes(tuple(styles))}
            element.class_ = None  # type: ignore[attr-defined]
        _write_styles_in(element.elements or ())


def _escaped(data: Data | None) -> dict[str, str] | None:
    if data is None:
        return None
    return {name.replace("_", "-"): escape(str(value)) for name, value in data.items()}


def _corners(points: Iterable[Point]) -> list[svg.Point]:
    return [svg.Point(_round(x), _round(y)) for x, y in points]


def _round(value: float) -> float:
    return round(float(value), 2)
