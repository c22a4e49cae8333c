"""A ballast plan in one picture: from above layer by layer, and a section through each half."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from html import escape
from typing import Final

from hillbench.ballast.clearance import TightPlace, tight_places
from hillbench.ballast.plan import Placement, Plan
from hillbench.ballast.task import BallastTask
from hillbench.pictures import drawing
from hillbench.pictures.ballast_view import (
    Frame,
    axle_lines,
    body_line,
    centre_mark,
    glass_from_above,
    keep_out_marks,
    keep_out_side,
    piece_from_above,
    pieces_from_side,
    roof_at,
    tight_mark,
)
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.labels import text_width_px, wrapped

_PAD_PX: Final = 14.0
_CAPTION_PX: Final = 18.0
_BETWEEN_PX: Final = 34.0
_MOST_PX_PER_MM: Final = 12.0
_TIGHT: Final = 4
_THUMB_PX: Final = 180.0


@dataclass(frozen=True, slots=True)
class _Extent:
    """What each panel shows, mm."""

    x_mm: tuple[float, float]
    y_mm: tuple[float, float]
    z_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Panel:
    """One view: its caption, how high it is in mm, and what draws it."""

    caption: str
    rise_mm: float
    upper_mm: float
    draw: Callable[[Frame], list[drawing.Mark]]


@dataclass(frozen=True, slots=True)
class _Shown:
    """A plan with all that its panels need."""

    task: BallastTask
    plan: Plan
    extent: _Extent
    tight: tuple[TightPlace, ...]


def ballast_sheet(task: BallastTask, plan: Plan, sentence: str, *, width_px: int = WIDE_PX) -> str:
    """Return a plan as SVG in a file of its own.

    Parameters
    ----------
    task
        The car.
    plan
        What goes where.
    sentence
        The answer in one sentence; stands at the top.
    width_px
        Width of the sheet.
    """
    lines = wrapped(sentence, width_px - 16.0, 20.0)
    marks: list[drawing.Mark] = [
        drawing.words(_PAD_PX, 34.0 + 28.0 * number, line, "words-headline")
        for number, line in enumerate(lines)
    ]
    return _picture(task, plan, sentence, width_px, "ballast", marks, 34.0 + 28.0 * len(lines))


def ballast_picture(
    task: BallastTask, plan: Plan, sentence: str, *, width_px: int, key: str
) -> str:
    """Return a plan as a picture that stands in a page.

    Parameters
    ----------
    task
        The car.
    plan
        What goes where.
    sentence
        The answer in one sentence, for those who do not see the picture.
    width_px
        Width of the picture.
    key
        Name of the picture, unique in its page.
    """
    return _picture(task, plan, sentence, width_px, key, [], 0.0)


def ballast_thumbnail(task: BallastTask, plan: Plan, sentence: str, *, key: str) -> str:
    """Return a plan from above in small, to stand beside others.

    Parameters
    ----------
    task
        The car.
    plan
        What goes where.
    sentence
        The answer in one sentence, for those who do not see the picture.
    key
        Name of the picture, unique in its page.
    """
    cavity, extent = task.cavity, _extent(task, plan)
    scale = _THUMB_PX / (extent.x_mm[1] - extent.x_mm[0])
    frame = Frame(0.0, 0.0, scale, extent.x_mm[0], extent.y_mm[1])
    (x_low, x_high), (y_low, y_high) = cavity.x_mm[:2], cavity.y_mm[:2]
    marks: list[drawing.Mark] = [frame.box((x_low, y_low), (x_high, y_high), "hill")]
    marks += [keep_out_marks(frame, one) for one in cavity.keep_outs]
    for piece in plan.placements:
        low = (piece.x_mm, piece.y_mm)
        high = (low[0] + piece.size_mm[0], low[1] + piece.size_mm[1])
        marks.append(frame.box(low, high, "piece"))
    marks += centre_mark(frame, plan.cg_ahead_of_rear_axle_mm, plan.cg_side_mm)
    height = (extent.y_mm[1] - extent.y_mm[0]) * scale
    return drawing.picture(key, "The plan from above", sentence, (_THUMB_PX, height), marks)


def _picture(
    task: BallastTask,
    plan: Plan,
    sentence: str,
    width_px: int,
    key: str,
    head: list[drawing.Mark],
    top_px: float,
) -> str:
    shown = _Shown(task, plan, _extent(task, plan), tight_places(task, plan, _TIGHT))
    panels = [*_layers(shown), *_sections(shown)]
    columns = 2 if width_px >= WIDE_PX and len(panels) > 1 else 1
    column_px = width_px / columns
    length = shown.extent.x_mm[1] - shown.extent.x_mm[0]
    scale = min((column_px - 2 * _PAD_PX) / length, _MOST_PX_PER_MM)
    marks, bottom = _laid_out(panels, shown.extent.x_mm[0], scale, (columns, column_px), top_px)
    marks += _legend(plan, width_px, bottom)
    return drawing.picture(
        key,
        "Where the ballast goes",
        f"{sentence} {_told(plan)}",
        (width_px, bottom + 2 * _CAPTION_PX),
        [*head, *marks],
        standalone=bool(head),
        data={"px_per_mm": f"{scale:.6g}", "legend": escape(_told(plan))},
    )


def _laid_out(
    panels: Sequence[_Panel],
    first_mm: float,
    scale: float,
    columns: tuple[int, float],
    top_px: float,
) -> tuple[list[drawing.Mark], float]:
    """Return the panels row by row, and where they end."""
    marks: list[drawing.Mark] = []
    count, column_px = columns
    for start in range(0, len(panels), count):
        row = panels[start : start + count]
        captions = [wrapped(one.caption, column_px - 2 * _PAD_PX, 14.0) for one in row]
        head_px = _CAPTION_PX * max(len(lines) for lines in captions) + 6.0
        for place, (panel, lines) in enumerate(zip(row, captions, strict=True)):
            left = place * column_px + _PAD_PX
            marks += [
                drawing.words(left, top_px + _CAPTION_PX * (n + 1) - 4.0, line, "words-strong")
                for n, line in enumerate(lines)
            ]
            frame = Frame(left, top_px + head_px, scale, first_mm, panel.upper_mm)
            marks += panel.draw(frame)
        top_px += head_px + max(one.rise_mm for one in row) * scale + _BETWEEN_PX
    return marks, top_px


def _layers(shown: _Shown) -> Iterator[_Panel]:
    low, high = shown.extent.y_mm
    layers = sorted({placement.layer for placement in shown.plan.placements}) or [1]
    for layer in layers:
        words = "on the floor" if layer == 1 else f"layer {layer}"
        caption = f"From above, {words}: nose to the right"
        yield _Panel(caption, high - low, high, partial(_from_above, shown, layer))


def _sections(shown: _Shown) -> Iterator[_Panel]:
    low, high = shown.extent.z_mm
    halves = (("left", 1.0), ("right", -1.0))
    for name, way in halves:
        pieces = [one for one in shown.plan.placements if _reaches(one, way)]
        if not pieces:
            continue
        # Far pieces first: looking from the side of that half, the nearer hides the farther.
        pieces.sort(key=lambda one: way * (one.y_mm + one.size_mm[1] / 2.0))
        caption = f"Section through the {name} half"
        yield _Panel(caption, high - low, high, partial(_from_side, shown, pieces))


def _reaches(piece: Placement, way: float) -> bool:
    ends = (piece.y_mm, piece.y_mm + piece.size_mm[1])
    return max(way * end for end in ends) > 0.05


def _extent(task: BallastTask, plan: Plan) -> _Extent:
    cavity = task.cavity
    tops = [one.z_mm + one.size_mm[2] for one in plan.placements]
    for surface in cavity.ceiling:
        tops += [point[1] for point in (surface.from_mm, surface.to_mm) if point]
    return _Extent(
        (min(cavity.x_mm[0], -3.0) - 1.0, max(cavity.x_mm[1], task.wheelbase_mm + 3.0) + 1.0),
        (cavity.y_mm[0] - 0.5, cavity.y_mm[1] + 0.5),
        (0.0, max([*tops, cavity.floor_z_mm + 5.0]) + 0.5),
    )


def _from_above(shown: _Shown, layer: int, frame: Frame) -> list[drawing.Mark]:
    cavity = shown.task.cavity
    (x_low, x_high), (y_low, y_high) = cavity.x_mm, cavity.y_mm
    marks: list[drawing.Mark] = [frame.box((x_low, y_low), (x_high, y_high), "hill")]
    marks += glass_from_above(frame, cavity)
    marks.append(_window(shown, frame, (y_low, y_high)))
    marks.append(frame.line((x_low, 0.0), (x_high, 0.0), "gate"))
    marks += axle_lines(frame, shown.task.wheelbase_mm, (y_low, y_high))
    marks += [keep_out_marks(frame, one) for one in cavity.keep_outs]
    centre = (shown.plan.cg_ahead_of_rear_axle_mm, shown.plan.cg_side_mm)
    for piece in shown.plan.placements:
        if piece.layer <= layer:
            marks += piece_from_above(frame, piece, below=piece.layer < layer, avoid=centre)
    for place in shown.tight:
        piece = _numbered(shown.plan, place.piece)
        if not place.upwards and piece.layer == layer:
            marks += tight_mark(frame, place, piece)
    return marks + centre_mark(frame, *centre)


def _from_side(shown: _Shown, pieces: list[Placement], frame: Frame) -> list[drawing.Mark]:
    cavity, plan = shown.task.cavity, shown.plan
    top = max(roof_at(cavity, x) for x in cavity.x_mm)
    centre = (plan.cg_ahead_of_rear_axle_mm, plan.cg_height_mm)
    marks: list[drawing.Mark] = [
        _window(shown, frame, (cavity.floor_z_mm, max(top, cavity.floor_z_mm + 3.0))),
        frame.line((shown.extent.x_mm[0], 0.0), (shown.extent.x_mm[1], 0.0), "axis"),
        *axle_lines(frame, shown.task.wheelbase_mm, (0.0, cavity.floor_z_mm)),
        *(keep_out_side(frame, one, cavity) for one in cavity.keep_outs),
        *body_line(frame, cavity),
        *pieces_from_side(frame, pieces, centre),
    ]
    numbers = {piece.number for piece in pieces}
    for place in shown.tight:
        if place.upwards and place.piece in numbers:
            marks += tight_mark(frame, place, _numbered(plan, place.piece))
    return marks + centre_mark(frame, *centre)


def _window(shown: _Shown, frame: Frame, ends_mm: tuple[float, float]) -> drawing.Mark:
    low, high = (
        share * shown.task.wheelbase_mm for share in shown.task.cg.window_ahead_of_rear_axle
    )
    return frame.box((low, ends_mm[0]), (high, ends_mm[1]), "window")


def _numbered(plan: Plan, number: int) -> Placement:
    return next(one for one in plan.placements if one.number == number)


def _legend(plan: Plan, width_px: float, top_px: float) -> list[drawing.Mark]:
    """Return what the marks mean, in one or two rows."""
    entries = [
        ("stays-free", "stays free"),
        ("glass", "under glass"),
        ("window", "window of the centre of gravity"),
    ]
    if any(one.layer > 1 for one in plan.placements):
        entries.append(("piece-below", "layer below"))
    marks: list[drawing.Mark] = []
    x, y = _PAD_PX, top_px
    for style, text in entries:
        need = 26.0 + text_width_px(text, 12.0)
        if x + need > width_px and x > _PAD_PX:
            x, y = _PAD_PX, y + _CAPTION_PX
        marks.append(drawing.box(x, y - 11.0, 18.0, 12.0, style))
        marks.append(drawing.words(x + 24.0, y, text, "words-quiet"))
        x += need + 10.0
    return marks


def _told(plan: Plan) -> str:
    return "; ".join(f"{one.number} {one.name}" for one in plan.placements)
