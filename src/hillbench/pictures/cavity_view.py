"""The inside of a casting from above and from the side, with a letter on each reading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from hillbench.ballast.measured_cavity import CaliperReadings, MeasuredCavity, cavity_of, roof_line
from hillbench.pictures import drawing
from hillbench.pictures.ballast_view import (
    Frame,
    axle_lines,
    body_line,
    glass_from_above,
    keep_out_marks,
    keep_out_side,
)

LETTERS: Final[Mapping[str, str]] = {
    "wheelbase_mm": "a",
    "rear_overhang_mm": "b",
    "front_overhang_mm": "c",
    "width_mm": "d",
    "floor_mm": "e",
    "deck_mm": "f",
    "roof_mm": "g",
    "bonnet_mm": "h",
    "rear_glass_foot_mm": "i",
    "rear_glass_top_mm": "j",
    "windscreen_top_mm": "k",
    "windscreen_foot_mm": "l",
    "belt_mm": "m",
    "roof_width_mm": "n",
}
"""The letter of each reading, in the picture and in the form."""

_PAD_PX: Final = 16.0
_CAPTION_PX: Final = 22.0
_ROW_PX: Final = 18.0


def cavity_picture(measured: MeasuredCavity, *, width_px: int, key: str) -> str:
    """Return the inside of a casting as SVG.

    Parameters
    ----------
    measured
        What was measured, without problems.
    width_px
        Width of the picture.
    key
        Name of the picture, unique in its page.

    Notes
    -----
    Keep-outs that have a row in the form carry its number, so that a script can drag them.
    """
    cavity, read = cavity_of(measured), measured.readings
    first, last = min(cavity.x_mm[0], -3.0), max(cavity.x_mm[1], read.wheelbase_mm + 3.0)
    ends = [point for one in cavity.ceiling for point in (one.from_mm, one.to_mm) if point]
    first, last = min([first, *(x for x, _ in ends)]), max([last, *(x for x, _ in ends)])
    scale = (width_px - 2 * _PAD_PX) / (last - first)
    low, high = cavity.y_mm
    marks = [drawing.words(_PAD_PX, 15.0, "From above, nose to the right", "words-strong")]
    above = Frame(_PAD_PX, _CAPTION_PX + _ROW_PX, scale, first, high)
    marks += _from_above(above, measured)
    y_px = above.top_px + (high - low) * scale + 2 * _ROW_PX + 10.0
    top = max(z for _, z in (*ends, *roof_line(read)[:1])) + 0.5
    marks.append(drawing.words(_PAD_PX, y_px + 8.0, "From the side", "words-strong"))
    side = Frame(_PAD_PX, y_px + _CAPTION_PX + _ROW_PX, scale, first, top)
    marks += _from_side(side, measured)
    bottom = side.top_px + top * scale + 3 * _ROW_PX
    return drawing.picture(
        key,
        "The inside of the casting",
        f"A {measured.body_style} seen from above and from the side.",
        (width_px, bottom),
        marks,
        data={"px_per_mm": f"{scale:.6g}", "cavity": "1"},
    )


def _from_above(frame: Frame, measured: MeasuredCavity) -> Iterator[drawing.Mark]:
    cavity, read = cavity_of(measured), measured.readings
    (x0, x1), (y0, y1) = cavity.x_mm[:2], cavity.y_mm[:2]
    yield frame.box((x0, y0), (x1, y1), "hill")
    yield from glass_from_above(frame, cavity)
    yield frame.line((x0, 0.0), (x1, 0.0), "gate")
    for half in (-read.roof_width_mm / 2.0, read.roof_width_mm / 2.0):
        ends = (read.rear_glass_top_mm, read.windscreen_top_mm)
        yield frame.line((ends[0], half), (ends[1], half), "glass-edge")
    yield from axle_lines(frame, read.wheelbase_mm, (y0, y1))
    for one in cavity.keep_outs:
        if all(one is not known for known in measured.keep_outs):
            yield keep_out_marks(frame, one)
    for number, one in enumerate(measured.keep_outs):
        yield keep_out_marks(frame, one, number)
    yield from _upright(frame, x1 - 1.5, (y0, y1), "d")
    middle = (read.rear_glass_top_mm + read.windscreen_top_mm) / 2.0
    half = read.roof_width_mm / 2.0
    yield from _upright(frame, middle, (-half, half), "n")


def _from_side(frame: Frame, measured: MeasuredCavity) -> Iterator[drawing.Mark]:
    cavity, read = cavity_of(measured), measured.readings
    floor = cavity.floor_z_mm
    yield frame.line((cavity.x_mm[0], 0.0), (cavity.x_mm[1], 0.0), "axis")
    for one in cavity.keep_outs:
        if one.name != "side wall":
            yield keep_out_side(frame, one, cavity)
    yield from body_line(frame, cavity)
    yield from axle_lines(frame, read.wheelbase_mm, (0.0, floor))
    if measured.outline("side") is None:
        yield from _heights(frame, read)
        yield from _places(frame, read)
    else:
        yield from _upright(frame, read.wheelbase_mm - 4.0, (0.0, floor), "e")
    foot = frame.at(0.0, 0.0)[1] + 2 * _ROW_PX
    for letter, ends in (
        ("a", (0.0, read.wheelbase_mm)),
        ("b", (-read.rear_overhang_mm, 0.0)),
        ("c", (read.wheelbase_mm, read.wheelbase_mm + read.front_overhang_mm)),
    ):
        yield from _along(frame, ends, foot, letter)


def _heights(frame: Frame, read: CaliperReadings) -> Iterator[drawing.Mark]:
    floor = read.floor_mm
    rear, front = -read.rear_overhang_mm, read.wheelbase_mm + read.front_overhang_mm
    roof = (read.rear_glass_top_mm + read.windscreen_top_mm) / 2.0
    for letter, x, height in (
        ("f", (rear + read.rear_glass_foot_mm) / 2.0, read.deck_mm),
        ("g", roof, read.roof_mm),
        ("h", (front + read.windscreen_foot_mm) / 2.0, read.bonnet_mm),
        ("m", roof + 5.0, read.belt_mm),
    ):
        yield from _upright(frame, x, (floor, floor + height), letter)
    yield from _upright(frame, read.wheelbase_mm - 4.0, (0.0, floor), "e")


def _places(frame: Frame, read: CaliperReadings) -> Iterator[drawing.Mark]:
    """Yield a letter over each corner of the body line, in one row above it."""
    line = roof_line(read)[1:-1]
    taken = -100.0
    for letter, (x, z) in zip("ijkl", line, strict=True):
        place, corner = frame.at(x, z)
        shown = max(place, taken + 12.0)
        taken = shown
        top = frame.top_px - 6.0
        yield drawing.line((place, corner), (shown, top + 2.0), "leader")
        yield drawing.words(shown, top - 2.0, letter, "words-accent", "halo", anchor="middle")


def _upright(
    frame: Frame, x: float, ends: tuple[float, float], letter: str
) -> Iterator[drawing.Mark]:
    start, end = frame.at(x, ends[0]), frame.at(x, ends[1])
    yield drawing.line(start, end, "line-accent")
    middle = (start[1] + end[1]) / 2.0
    yield drawing.words(start[0] + 4.0, middle + 5.0, letter, "words-accent", "halo")


def _along(
    frame: Frame, ends: tuple[float, float], y_px: float, letter: str
) -> Iterator[drawing.Mark]:
    start, end = frame.at(ends[0], 0.0)[0], frame.at(ends[1], 0.0)[0]
    yield drawing.line((start, y_px), (end, y_px), "line-accent")
    for x in (start, end):
        yield drawing.line((x, y_px - 4.0), (x, y_px + 4.0), "line-accent")
    middle = (start + end) / 2.0
    yield drawing.words(middle, y_px + 5.0, letter, "words-accent", "halo", anchor="middle")
