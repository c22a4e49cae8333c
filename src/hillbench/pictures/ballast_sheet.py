"""A ballast plan on one sheet: a top view for each layer and a section from the side."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import Final

from hillbench.ballast.plan import Placement, Plan
from hillbench.ballast.task import BallastTask
from hillbench.pictures import drawing
from hillbench.pictures.ballast_view import Frame, ceiling_marks, keep_out_marks, top_marks
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.labels import wrapped

_LEFT_PX: Final = 56.0
_CAPTION_PX: Final = 30.0
_BETWEEN_PX: Final = 40.0
_MOST_PX_PER_MM: Final = 14.0


@dataclass(frozen=True, slots=True)
class _Extent:
    """What the sheet shows, mm."""

    x_mm: tuple[float, float]
    y_mm: tuple[float, float]
    z_mm: tuple[float, float]


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
    extent = _extent(task, plan)
    scale = min((width_px - 2 * _LEFT_PX) / (extent.x_mm[1] - extent.x_mm[0]), _MOST_PX_PER_MM)
    lines = wrapped(sentence, width_px - 16.0, 20.0)
    marks: list[drawing.Mark] = [
        drawing.words(8.0, 34.0 + 28.0 * number, line, "words-headline")
        for number, line in enumerate(lines)
    ]
    y_px = 34.0 + 28.0 * len(lines)
    layers = sorted({placement.layer for placement in plan.placements}) or [1]
    for layer in layers:
        caption = f"From above, layer {layer}: nose to the right; mm from rear axle and centre line"
        frame = Frame(_LEFT_PX, y_px + _CAPTION_PX, scale, extent.x_mm[0], extent.y_mm[1])
        marks.append(drawing.words(8.0, y_px + 16.0, caption, "words-strong"))
        marks += _top_view(task, plan, frame, layer)
        y_px += _CAPTION_PX + (extent.y_mm[1] - extent.y_mm[0]) * scale + _BETWEEN_PX
    frame = Frame(_LEFT_PX, y_px + _CAPTION_PX, scale, extent.x_mm[0], extent.z_mm[1])
    marks.append(drawing.words(8.0, y_px + 16.0, "From the side, all layers", "words-strong"))
    marks += _side_view(task, plan, frame)
    y_px += _CAPTION_PX + (extent.z_mm[1] - extent.z_mm[0]) * scale + _BETWEEN_PX
    return drawing.picture(
        "ballast",
        "Where the ballast goes",
        sentence,
        (width_px, y_px),
        marks,
        standalone=True,
        data={"px_per_mm": f"{scale:.6g}", "legend": escape(_legend(plan))},
    )


def _extent(task: BallastTask, plan: Plan) -> _Extent:
    x_mm, y_mm = task.cavity.x_mm, task.cavity.y_mm
    floor = task.cavity.floor_z_mm
    tops = [placement.z_mm + placement.size_mm[2] for placement in plan.placements]
    for surface in task.cavity.ceiling:
        tops += [point[1] for point in (surface.from_mm, surface.to_mm) if point]
    return _Extent(
        (min(x_mm[0], -2.0), max(x_mm[1], task.wheelbase_mm + 2.0)),
        (y_mm[0], y_mm[1]),
        (0.0, max([*tops, floor + 5.0])),
    )


def _top_view(task: BallastTask, plan: Plan, frame: Frame, layer: int) -> list[drawing.Mark]:
    cavity = task.cavity
    marks: list[drawing.Mark] = [
        frame.box(cavity.x_mm[0], cavity.y_mm[0], cavity.x_mm[1], cavity.y_mm[1], "hill")
    ]
    marks += [mark for one in cavity.keep_outs for mark in keep_out_marks(frame, one)]
    marks += _axle_lines(task, frame, cavity.y_mm[0], cavity.y_mm[1])
    marks.append(frame.line((cavity.x_mm[0], 0.0), (cavity.x_mm[1], 0.0), "gate"))
    for placement in plan.placements:
        if placement.layer <= layer:
            marks += top_marks(frame, placement, below=placement.layer < layer)
    centre = frame.at(plan.cg_ahead_of_rear_axle_mm, plan.cg_side_mm)
    marks += [drawing.dot(*centre, radius=5.0)]
    return marks


def _side_view(task: BallastTask, plan: Plan, frame: Frame) -> list[drawing.Mark]:
    cavity = task.cavity
    ends = cavity.x_mm
    marks: list[drawing.Mark] = [
        frame.line((ends[0], cavity.floor_z_mm), (ends[1], cavity.floor_z_mm), "limit"),
        frame.line((ends[0], 0.0), (ends[1], 0.0), "axis"),
    ]
    marks += ceiling_marks(frame, cavity)
    marks += _axle_lines(task, frame, 0.0, cavity.floor_z_mm)
    for placement in sorted(plan.placements, key=lambda one: -one.y_mm):
        marks += _side_piece(frame, placement)
    centre = frame.at(plan.cg_ahead_of_rear_axle_mm, plan.cg_height_mm)
    marks += [
        drawing.dot(*centre, radius=5.0),
        drawing.words(centre[0] + 9.0, centre[1] - 6.0, "centre of gravity", "words-quiet", "halo"),
    ]
    return marks


def _side_piece(frame: Frame, placement: Placement) -> list[drawing.Mark]:
    x, z = placement.x_mm, placement.z_mm
    length, _, rise = placement.size_mm
    middle = frame.at(x + length / 2, z + rise / 2)
    return [
        frame.box(x, z, x + length, z + rise, "gained"),
        frame.outline(x, z, x + length, z + rise, "line"),
        drawing.words(middle[0], middle[1] + 4.5, str(placement.number), anchor="middle"),
    ]


def _axle_lines(
    task: BallastTask, frame: Frame, low_mm: float, high_mm: float
) -> list[drawing.Mark]:
    marks: list[drawing.Mark] = []
    for name, x in (("rear axle", 0.0), ("front axle", task.wheelbase_mm)):
        marks.append(frame.line((x, low_mm), (x, high_mm), "line-before"))
        foot = frame.at(x, low_mm)
        marks.append(drawing.words(foot[0], foot[1] + 15.0, name, "words-quiet", anchor="middle"))
    return marks


def _legend(plan: Plan) -> str:
    return "; ".join(f"{one.number} {one.name}" for one in plan.placements)
