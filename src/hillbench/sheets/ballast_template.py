"""A template of a ballast plan, true to scale: cut out, laid in the base, pieces set on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from hillbench.ballast.cavity import KeepOut
from hillbench.ballast.plan import Placement, Plan, Step
from hillbench.ballast.task import BallastTask
from hillbench.sheets import path
from hillbench.sheets.drawing import Drawing, Group, Mark, Shape, Stroke, Words
from hillbench.sheets.flow import ACCENT, INK, MUTED, Block, gap, heading, paragraph
from hillbench.sheets.page import PageSize
from hillbench.sheets.page_frame import Link, frame, paged
from hillbench.sheets.path import Path, Transform

_LINE_MM: Final = 0.2
_PIECE_MM: Final = 0.3
_CUT: Final = Stroke(INK, _LINE_MM)
_FOLD: Final = Stroke(MUTED, _LINE_MM, (1.2, 0.8))
_PIECE: Final = Stroke(ACCENT, _PIECE_MM)
_BELOW: Final = Stroke(ACCENT, _LINE_MM, (1.0, 0.8))
_NAME_MM: Final = 2.2
_NUMBER_MM: Final = 3.6
_TEXT_MM: Final = 3.0
_CAPTION_MM: Final = 6.0
_MARGIN_MM: Final = 8.0


def ballast_template(
    task: BallastTask,
    plan: Plan,
    steps: Sequence[Step],
    title: str,
    sentence: str,
    foot: str,
    size: PageSize,
) -> Drawing:
    """Return the template: the floor once for each layer, and the steps.

    Parameters
    ----------
    task
        The car.
    plan
        What goes where.
    steps
        What to do, in building order.
    title
        Car and plan.
    sentence
        The answer in one sentence.
    foot
        Who made it and when.
    size
        The paper.
    """
    how = (
        sentence,
        "Cut along the full lines, cut out what stays free (dashed), and lay it in the base with "
        "the arrow to the nose. Mark the corners of each piece through the paper, or leave the "
        "paper in.",
    )
    around = frame(size, "Placement template", title, how, Link("", ""), foot)
    layers = sorted({placement.layer for placement in plan.placements}) or [1]
    blocks: list[Block] = []
    for layer in layers:
        blocks += [_layer(task, plan, layer), gap(5.0)]
    blocks.append(heading("Step by step", around.width_mm, 4.0))
    for step in steps:
        text = f"{step.number}  {step.text}  Scale: {step.scale_reads_g:.2f} g"
        blocks += [paragraph(text, around.width_mm, _TEXT_MM), gap(1.2)]
    return Drawing(title, tuple(paged(around, size, blocks)))


def _layer(task: BallastTask, plan: Plan, layer: int) -> Block:
    """Return the floor from above with the pieces of one layer, nose to the right."""
    cavity = task.cavity
    (x0, x1), (y0, y1) = cavity.x_mm[:2], cavity.y_mm[:2]
    words = "on the floor" if layer == 1 else f"layer {layer}, on the pieces below (dashed)"
    caption = Words(0.0, 4.0, f"From above, {words}", _TEXT_MM, "bold")
    marks: list[Mark] = [Shape(path.rectangle(x0, -y1, x1 - x0, y1 - y0), stroke=_CUT)]
    marks += [Shape(_outline(one), stroke=_FOLD) for one in cavity.keep_outs]
    marks += _axes(task)
    for piece in plan.placements:
        if piece.layer == layer:
            marks += _piece(piece)
        elif piece.layer < layer:
            marks.append(Shape(_box_of(piece), stroke=_BELOW))
    moved = Transform(e=_MARGIN_MM - x0, f=_CAPTION_MM + y1)
    height = _CAPTION_MM + (y1 - y0) + 4.0
    return Block(height, (caption, Group(tuple(marks), moved)))


def _axes(task: BallastTask) -> Iterator[Mark]:
    """Yield centre line, axles and the arrow to the nose."""
    (x0, x1), (y0, y1) = task.cavity.x_mm[:2], task.cavity.y_mm[:2]
    yield Shape(path.polyline([(x0, 0.0), (x1, 0.0)]), stroke=_FOLD)
    for name, x in (("rear axle", 0.0), ("front axle", task.wheelbase_mm)):
        yield Shape(path.polyline([(x, -y1), (x, -y0)]), stroke=_FOLD)
        yield Words(x, -y0 + 2.8, name, _NAME_MM, colour=MUTED, anchor="middle")
    head = [(x1 + 4.0, -1.5), (x1 + 7.0, 0.0), (x1 + 4.0, 1.5)]
    yield Shape(path.polyline([(x1 + 1.0, 0.0), (x1 + 7.0, 0.0)]), stroke=_CUT)
    yield Shape(path.polyline(head), stroke=_CUT)
    yield Words(x1 + 8.0, 0.8, "nose", _NAME_MM)


def _outline(keep_out: KeepOut) -> Path:
    if isinstance(keep_out.x_mm, tuple) and isinstance(keep_out.y_mm, tuple):
        (x0, x1), (y0, y1) = keep_out.x_mm, keep_out.y_mm
        return path.rectangle(x0, -y1, x1 - x0, y1 - y0)
    x, y = keep_out.x_mm, keep_out.y_mm
    if isinstance(x, tuple) or isinstance(y, tuple):
        return ()
    return path.circle(x, -y, keep_out.radius_mm or 0.0)


def _box_of(piece: Placement) -> Path:
    length, width, _ = piece.size_mm
    return path.rectangle(piece.x_mm, -(piece.y_mm + width), length, width)


def _piece(piece: Placement) -> Iterator[Mark]:
    length, width, _ = piece.size_mm
    x, y = piece.x_mm + length / 2.0, -(piece.y_mm + width / 2.0)
    yield Shape(_box_of(piece), stroke=_PIECE)
    size = min(_NUMBER_MM, 0.8 * min(length, width))
    yield Words(x, y + 0.35 * size, str(piece.number), size, "bold", ACCENT, "middle")
