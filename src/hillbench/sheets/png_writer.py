"""Draws a page as pixels, for pictures that are shared and not printed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from hillbench.sheets import font
from hillbench.sheets.colour import Colour, shown
from hillbench.sheets.drawing import FillRule, Group, Mark, Page, Photo, Shape, Words
from hillbench.sheets.path import Close, Curve, Line, Move, Path, Point, Transform
from hillbench.sheets.path import transformed as moved

if TYPE_CHECKING:
    from PIL.Image import Image

_FINE: Final = 3
"""Pixels are drawn three times finer each way and averaged, so that edges are smooth."""

_CURVE_STEPS: Final = 12

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Canvas:
    """Pixels being drawn, three times finer than they will be."""

    pixels: NDArray[np.uint8]

    def paint(self, box: tuple[slice, slice], mask: Mask, colour: Colour, opacity: float) -> None:
        seen = shown(colour)
        ink = np.rint(np.array([seen.red, seen.green, seen.blue]) * 255.0)
        part = self.pixels[box]
        mixed = ink if opacity >= 1.0 else (1.0 - opacity) * part + opacity * ink
        np.copyto(part, mixed.astype(np.uint8), where=mask[..., None])


def write_png(page: Page, width_px: int) -> bytes:
    """Return a page as a PNG file.

    Parameters
    ----------
    page
        What to draw.
    width_px
        Width of the picture; its height follows from the page.
    """
    from PIL import Image

    scale = _FINE * width_px / page.size.width_mm
    height = _FINE * round(width_px * page.size.height_mm / page.size.width_mm)
    canvas = _Canvas(np.full((height, _FINE * width_px, 3), 255, dtype=np.uint8))
    whole = np.ones(canvas.pixels.shape[:2], dtype=np.bool_)
    for layer in page.layers:
        for mark in layer.marks:
            _draw(canvas, mark, Transform.scale(scale), whole)
    written = BytesIO()
    Image.fromarray(canvas.pixels).reduce(_FINE).save(written, "PNG", compress_level=6)
    return written.getvalue()


def _draw(canvas: _Canvas, mark: Mark, at: Transform, clip: Mask) -> None:
    match mark:
        case Shape():
            _draw_shape(canvas, mark, at, clip)
        case Words():
            width = font.width_mm(mark.text, mark.size_mm, mark.font)
            start = mark.x_mm - {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor] * width
            letters = font.outline(mark.text, mark.size_mm, mark.font)
            place = Transform.shift(start, mark.y_mm).then(at)
            _fill(canvas, moved(letters, place), mark.colour, clip)
        case Photo():
            _draw_photo(canvas, mark, at, clip)
        case Group():
            inside = mark.transform.then(at)
            if mark.clip is not None:
                box, mask = _inside(moved(mark.clip, inside), mark.rule, clip.shape)
                cut = np.zeros_like(clip)
                cut[box] = mask
                clip = clip & cut
            for one in mark.marks:
                _draw(canvas, one, inside, clip)


def _draw_shape(canvas: _Canvas, shape: Shape, at: Transform, clip: Mask) -> None:
    outline = moved(shape.path, at)
    if shape.fill is not None:
        _fill(canvas, outline, shape.fill, clip, shape.rule, shape.opacity)
    if shape.stroke is not None:
        size = abs(at.a * at.d - at.b * at.c) ** 0.5
        width = max(round(shape.stroke.width_mm * size), 1)
        box, mask = _along(outline, width, clip.shape)
        canvas.paint(box, mask & clip[box], shape.stroke.colour, 1.0)


def _fill(
    canvas: _Canvas,
    outline: Path,
    colour: Colour,
    clip: Mask,
    rule: FillRule = "nonzero",
    opacity: float = 1.0,
) -> None:
    box, mask = _inside(outline, rule, clip.shape)
    canvas.paint(box, mask & clip[box], colour, opacity)


def _inside(
    outline: Path, rule: FillRule, shape: tuple[int, ...]
) -> tuple[tuple[slice, slice], Mask]:
    """Return which pixels lie inside a path whose parts do not cross themselves."""
    from PIL import Image, ImageDraw

    parts = [part for part in _parts(outline) if len(part) > 2]
    box = _box(parts, shape, 1)
    rows, columns = box
    winding = np.zeros((rows.stop - rows.start, columns.stop - columns.start), dtype=np.int16)
    for part in parts:
        image = Image.new("1", (winding.shape[1], winding.shape[0]))
        local = [(x - columns.start - 0.5, y - rows.start - 0.5) for x, y in part]
        ImageDraw.Draw(image).polygon(local, fill=1)
        turn = 1 if rule == "evenodd" or _area(part) > 0.0 else -1
        winding += turn * np.asarray(image, dtype=np.int16)
    return box, (winding % 2 == 1 if rule == "evenodd" else winding != 0)


def _along(outline: Path, width: int, shape: tuple[int, ...]) -> tuple[tuple[slice, slice], Mask]:
    from PIL import Image, ImageDraw

    parts = list(_parts(outline))
    box = _box(parts, shape, width)
    rows, columns = box
    image = Image.new("1", (columns.stop - columns.start, rows.stop - rows.start))
    for part in parts:
        local = [(x - columns.start - 0.5, y - rows.start - 0.5) for x, y in part]
        ImageDraw.Draw(image).line(local, fill=1, width=width, joint="curve")
    return box, np.asarray(image, dtype=np.bool_)


def _box(
    parts: Sequence[Sequence[Point]], shape: tuple[int, ...], spare: int
) -> tuple[slice, slice]:
    points = np.array([point for part in parts for point in part] or [(0.0, 0.0)])
    low = np.floor(points.min(axis=0)).astype(int) - spare
    high = np.ceil(points.max(axis=0)).astype(int) + spare + 1
    left, right = (int(np.clip(value, 0, shape[1])) for value in (low[0], high[0]))
    top, bottom = (int(np.clip(value, 0, shape[0])) for value in (low[1], high[1]))
    return slice(top, bottom), slice(left, right)


def _parts(outline: Path) -> Iterator[list[Point]]:
    """Yield each part of a path as straight lines."""
    part: list[Point] = []
    for segment in outline:
        match segment:
            case Move(to):
                if part:
                    yield part
                part = [to]
            case Line(to):
                part.append(to)
            case Curve(first, second, to):
                part += _curve(part[-1], first, second, to)
            case Close():
                part.append(part[0])
    if part:
        yield part


def _curve(start: Point, first: Point, second: Point, to: Point) -> Iterator[Point]:
    for step in range(1, _CURVE_STEPS + 1):
        t = step / _CURVE_STEPS
        weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
        points = (start, first, second, to)
        yield (
            sum(w * point[0] for w, point in zip(weights, points, strict=True)),
            sum(w * point[1] for w, point in zip(weights, points, strict=True)),
        )


def _area(part: Sequence[Point]) -> float:
    """Return twice the area of a polygon, negative where it turns the other way."""
    return sum(
        x * part[(n + 1) % len(part)][1] - part[(n + 1) % len(part)][0] * y
        for n, (x, y) in enumerate(part)
    )


def _draw_photo(canvas: _Canvas, photo: Photo, at: Transform, clip: Mask) -> None:
    """Draw a photo that stands upright; turned ones are for print alone."""
    from PIL import Image

    if abs(at.b) > 1e-9 or abs(at.c) > 1e-9:
        raise ValueError("a photo that is turned cannot be drawn as pixels")
    left, top = (round(value) for value in at.apply((photo.x_mm, photo.y_mm)))
    wide, tall = round(at.a * photo.width_mm), round(at.d * photo.height_mm)
    rows = slice(max(top, 0), max(min(top + tall, clip.shape[0]), 0))
    columns = slice(max(left, 0), max(min(left + wide, clip.shape[1]), 0))
    image: Image.Image = Image.open(BytesIO(photo.data)).convert("RGBA")
    resized: Any = np.asarray(image.resize((wide, tall), Image.Resampling.BICUBIC))
    pixels = resized[rows.start - top : rows.stop - top, columns.start - left : columns.stop - left]
    share = pixels[..., 3:].astype(np.float32) / 255.0 * clip[rows, columns, None]
    part = canvas.pixels[rows, columns]
    part[:] = np.rint(part + share * (pixels[..., :3].astype(np.float32) - part)).astype(np.uint8)
