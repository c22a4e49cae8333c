"""The pictures of the invented cars: a side view on a bench, drawn with plain shapes."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Final

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from hillbench.demo.sides import Points, Side

Place = Callable[[float, float], tuple[float, float]]
"""From mm ahead of the rear axle and above the track to pixels."""

SIZE_PX: Final = (960, 600)
_OVERSAMPLING: Final = 2
_PX_PER_MM: Final = 11.0
PAPER: Final = ("#efe6d2", "#dccfb2")
_BENCH: Final = "#a98a63"
INK: Final = "#2b2722"
_GLASS: Final = "#9fb4bd"
_RUBBER: Final = "#26241f"
_METAL: Final = "#c9c4b8"


def draw_car(
    side: Side, wheelbase_mm: float, wheel_diameter_mm: float, paint: str, trim: str
) -> bytes:
    """Return a side view of a car standing on a bench, as a JPEG file."""
    image = _bench()
    drawing = ImageDraw.Draw(image)
    middle_mm = (side.body[0][0] + side.body[-1][0]) / 2.0

    def place(at_mm: float, height_mm: float) -> tuple[float, float]:
        x = image.width / 2.0 + (at_mm - middle_mm) * _PX_PER_MM * _OVERSAMPLING
        return x, image.height * 0.78 - height_mm * _PX_PER_MM * _OVERSAMPLING

    _shadow(image, place(side.body[0][0], 0.6), place(side.body[-1][0], -1.4))
    outline = [place(*point) for point in _curve(side.body)]
    drawing.polygon(outline, fill=paint)
    stripe = (side.sill_mm + 3.2, side.sill_mm + 4.2)
    _stripe(image, outline, place(0.0, stripe[1])[1], place(0.0, stripe[0])[1], trim)
    drawing.polygon(outline, outline=INK, width=5)
    for window in side.windows:
        drawing.polygon([place(*point) for point in window], fill=_GLASS, outline=INK, width=4)
    for axle_mm in (0.0, wheelbase_mm):
        _wheel(drawing, place, axle_mm, wheel_diameter_mm / 2.0)
    _ruler(drawing, image.size)
    return jpeg(image)


def oversampled(size: tuple[int, int]) -> tuple[int, int]:
    """Return the size at which a picture is drawn before it is reduced."""
    return size[0] * _OVERSAMPLING, size[1] * _OVERSAMPLING


def _bench() -> Image.Image:
    size = oversampled(SIZE_PX)
    shade = Image.linear_gradient("L").resize(size)
    image = Image.composite(
        Image.new("RGB", size, PAPER[1]), Image.new("RGB", size, PAPER[0]), shade
    )
    drawing = ImageDraw.Draw(image)
    drawing.rectangle((0, int(size[1] * 0.75), *size), fill=_BENCH)
    for row in range(6):
        y = int(size[1] * (0.79 + 0.036 * row))
        drawing.line((0, y, size[0], y + 9 - 3 * row), fill="#9b7d58", width=3)
    return image


def _shadow(image: Image.Image, low: tuple[float, float], high: tuple[float, float]) -> None:
    mask = Image.new("L", image.size, 0)
    ImageDraw.Draw(mask).ellipse((low[0], low[1] - 8, high[0], high[1] + 14), fill=150)
    image.paste(Image.new("RGB", image.size, "#5a452d"), mask=mask.filter(ImageFilter.BoxBlur(14)))


def _stripe(
    image: Image.Image, outline: Points, top_px: float, bottom_px: float, colour: str
) -> None:
    """Paint a stripe along the body, and nowhere else."""
    body, band = Image.new("L", image.size, 0), Image.new("L", image.size, 0)
    ImageDraw.Draw(body).polygon(list(outline), fill=255)
    ImageDraw.Draw(band).rectangle((0.0, top_px, image.width, bottom_px), fill=255)
    image.paste(colour, mask=ImageChops.darker(body, band))


def _curve(points: Points, steps: int = 12) -> list[tuple[float, float]]:
    """Return a Catmull-Rom curve through the points."""
    padded = [points[0], *points, points[-1]]
    curve = [
        _between(padded[first : first + 4], step / steps)
        for first in range(len(points) - 1)
        for step in range(steps)
    ]
    return [*curve, points[-1]]


def _between(four: Points, share: float) -> tuple[float, float]:
    x, y = (
        0.5
        * (
            2.0 * b
            + (c - a) * share
            + (2.0 * a - 5.0 * b + 4.0 * c - d) * share**2
            + (3.0 * b - a - 3.0 * c + d) * share**3
        )
        for a, b, c, d in zip(*four, strict=True)
    )
    return x, y


def _wheel(drawing: ImageDraw.ImageDraw, place: Place, axle_mm: float, radius_mm: float) -> None:
    def box(size_mm: float) -> tuple[float, float, float, float]:
        left, top = place(axle_mm - size_mm, radius_mm + size_mm)
        right, bottom = place(axle_mm + size_mm, radius_mm - size_mm)
        return left, top, right, bottom

    drawing.pieslice(box(radius_mm + 1.0), 180, 360, fill=INK)
    drawing.ellipse(box(radius_mm), fill=_RUBBER)
    drawing.ellipse(box(0.62 * radius_mm), fill=_METAL, outline=INK, width=3)
    drawing.ellipse(box(0.15 * radius_mm), fill=INK)


def _ruler(drawing: ImageDraw.ImageDraw, size: tuple[int, int]) -> None:
    """Draw a steel ruler with millimetres to the same scale."""
    top, step = size[1] * 0.90, _PX_PER_MM * _OVERSAMPLING
    drawing.rectangle((size[0] * 0.06, top, size[0] * 0.94, top + 62), fill=_METAL, outline=INK)
    for mark in range(int(size[0] * 0.86 / step)):
        length = 40 if mark % 10 == 0 else 30 if mark % 5 == 0 else 18
        x = size[0] * 0.07 + mark * step
        drawing.line((x, top, x, top + length), fill=INK, width=3)


def jpeg(image: Image.Image) -> bytes:
    """Return the picture, reduced, as a JPEG file."""
    small = image.resize(SIZE_PX, Image.Resampling.LANCZOS, reducing_gap=2.0)
    content = io.BytesIO()
    small.save(content, "JPEG", quality=88)
    return content.getvalue()
