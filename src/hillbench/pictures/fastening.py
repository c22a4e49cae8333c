"""A cut through screw, base and post, to scale, with the depths beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hillbench.fastening.depth import Depths, Stack, find_depths
from hillbench.fastening.drill import made_minor_mm, made_percent
from hillbench.fastening.options import Option, Setting
from hillbench.fastening.screw import Head, clearance_drills, find_head
from hillbench.pictures import drawing, labels
from hillbench.pictures.drawing import WIDE_PX, Mark, Point
from hillbench.pictures.thread_profile import external_ridges, internal_ridges

_TOP_PX: Final = 56.0
_FOOT_PX: Final = 44.0
_TALLEST_PX: Final = 420.0
_ASSUMED_BASE_MM: Final = 1.2
_ROW_PX: Final = 17.0
_BROAD_PX: Final = 700
_CLOSE_UP_PX: Final = (240.0, 330.0)
_TURNS: Final = 3.0


@dataclass(frozen=True, slots=True)
class _Scene:
    """What is drawn, in mm: r from the axis, z down from the face of the post."""

    option: Option
    stack: Stack
    depths: Depths
    head: Head
    hole_mm: float
    post_mm: float
    axis_px: float
    scale_px: float

    @property
    def top_mm(self) -> float:
        return self.stack.base_thickness_mm + self.head.height_mm

    def at(self, r_mm: float, z_mm: float) -> Point:
        return self.axis_px + r_mm * self.scale_px, _TOP_PX + (z_mm + self.top_mm) * self.scale_px


def fastening_picture(
    option: Option,
    setting: Setting,
    stack: Stack | None,
    depths: Depths | None,
    sentence: str,
    *,
    width_px: int = WIDE_PX,
    key: str = "fastening",
    standalone: bool = False,
) -> str:
    """Return a cut through a screw in a post, to scale, as SVG.

    Parameters
    ----------
    option
        Thread, drill and method.
    setting
        What it is done in and with.
    stack, depths
        What the screw goes through and into, and how deep; where they are None, a base and a
        post are drawn round the engagement.
    sentence
        The answer in one sentence.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    scene = _scene(option, setting, stack, depths, width_px)
    height = _TOP_PX + (scene.top_mm + scene.stack.post_height_mm) * scene.scale_px + _FOOT_PX
    marks = [
        *_post(scene, known=setting.post_diameter_mm is not None),
        *_base(scene),
        *_screw(scene),
        *_depth_marks(scene, width_px),
        *_scale_bar(scene, height),
    ]
    if width_px > _BROAD_PX:
        marks += _close_up(scene, width_px)
    title = f"{option.thread.designation} screw in a {option.drill.name} hole, cut open"
    marks.append(drawing.words(4.0, 22.0, title, "words-strong"))
    given = "" if stack else " Base and post are drawn by assumption."
    return drawing.picture(
        key, title, sentence + given, (width_px, height), marks, standalone=standalone
    )


def _scene(
    option: Option, setting: Setting, stack: Stack | None, depths: Depths | None, width_px: int
) -> _Scene:
    thread, drill_mm = option.thread, option.drill.diameter_mm
    if stack is None or depths is None:
        reach = setting.engagement_mm + thread.pitch_mm
        # Deep enough for the drill and a floor of one diameter.
        trial = Stack(reach + _ASSUMED_BASE_MM, _ASSUMED_BASE_MM, 10.0 * reach)
        tip = find_depths(thread, drill_mm, trial, option.method).drill_tip_mm
        stack = Stack(reach + _ASSUMED_BASE_MM, _ASSUMED_BASE_MM, tip + thread.major_mm)
        depths = find_depths(thread, drill_mm, stack, option.method)
    head = find_head(thread, setting.head)
    post = setting.post_diameter_mm or 2.2 * thread.major_mm
    tall = head.height_mm + stack.base_thickness_mm + stack.post_height_mm
    wide = max(post, 2.2 * head.diameter_mm)
    scale = min(_TALLEST_PX / tall, 0.42 * width_px / wide)
    hole = clearance_drills(thread)["normal"].diameter_mm
    axis = (0.22 if width_px > _BROAD_PX else 0.26) * width_px
    return _Scene(option, stack, depths, head, hole, post, axis, scale)


def _post(scene: _Scene, *, known: bool) -> list[Mark]:
    """Return the two cut faces of the post, its bore as drilled and threaded."""
    thread, drill_mm = scene.option.thread, scene.option.drill.diameter_mm
    depths, height = scene.depths, scene.stack.post_height_mm
    minor = made_minor_mm(thread, drill_mm, scene.option.method)
    threaded = min(depths.tap_mm, height)
    bore = [*internal_ridges(thread, minor, threaded), (drill_mm / 2.0, threaded)]
    full, tip = min(depths.drill_mm, height), min(depths.drill_tip_mm, height)
    bore += [(drill_mm / 2.0, full), (0.0, tip)]
    outline = [(scene.post_mm / 2.0, 0.0), *bore, (0.0, height), (scene.post_mm / 2.0, height)]
    marks = []
    for side in (1.0, -1.0):
        points = [scene.at(side * r, z) for r, z in outline]
        marks.append(drawing.polygon(points, "bend", data={"mark": "post"}))
        marks.append(drawing.polyline([scene.at(side * r, z) for r, z in bore], "axis"))
        edge = side * scene.post_mm / 2.0
        style = "axis" if known else "line-beyond"
        marks.append(drawing.line(scene.at(edge, 0.0), scene.at(edge, height), style))
    return marks


def _base(scene: _Scene) -> list[Mark]:
    """Return the base on either side of its hole."""
    inner, outer = scene.hole_mm / 2.0, max(scene.post_mm, 2.0 * scene.head.diameter_mm) / 2.0
    thick = scene.stack.base_thickness_mm
    marks = []
    for side in (1.0, -1.0):
        corners = ((inner, -thick), (outer, -thick), (outer, 0.0), (inner, 0.0))
        points = [scene.at(side * r, z) for r, z in corners]
        marks.append(drawing.polygon(points, "hill", data={"mark": "base"}))
        marks.append(drawing.polyline([*points, points[0]], "axis"))
    return marks


def _screw(scene: _Scene) -> list[Mark]:
    """Return head, shank and thread of the screw as one outline."""
    thread, thick = scene.option.thread, scene.stack.base_thickness_mm
    reach, half = scene.depths.screw_mm, scene.head.diameter_mm / 2.0
    sunk = scene.head.kind == "countersunk"
    top = -thick if sunk else -thick - scene.head.height_mm
    head = [(half, top)] + ([] if sunk else [(half, -thick)])
    shank = external_ridges(thread, -thick + (scene.head.height_mm if sunk else 0.0), reach)
    right = [*head, *shank]
    outline = [scene.at(r, z) for r, z in right]
    outline += [scene.at(-r, z) for r, z in reversed(right)]
    centre = (scene.at(0.0, top - 0.3), scene.at(0.0, reach + 0.5))
    return [
        drawing.polygon(outline, "fill-muted", data={"mark": "screw"}),
        drawing.polyline([*outline, outline[0]], "axis"),
        drawing.line(*centre, "gate"),
    ]


def _depth_marks(scene: _Scene, width_px: int) -> list[Mark]:
    """Return each depth with a leader, rows kept apart."""
    depths = scene.depths
    rows = [
        (-scene.stack.base_thickness_mm, f"base {scene.stack.base_thickness_mm:.1f} mm"),
        (0.0, "face of the post"),
        (depths.screw_mm, f"screw reaches {depths.screw_mm:.1f} mm"),
        (depths.tap_mm, f"full thread {depths.tap_mm:.1f} mm"),
        (depths.drill_mm, f"drill {depths.drill_mm:.1f} mm"),
        (scene.stack.post_height_mm, f"post {scene.stack.post_height_mm:.1f} mm"),
    ]
    if depths.left_mm < 0.0:
        rows[4] = (scene.stack.post_height_mm, f"drill {depths.drill_mm:.1f} mm: comes through")
    edge = max(scene.post_mm, 2.0 * scene.head.diameter_mm) / 2.0
    start = scene.at(edge, 0.0)[0] + 6.0
    left = min(start + 34.0, width_px - 180.0)
    marks: list[Mark] = []
    below = 0.0
    for z, text in sorted(rows, key=lambda row: row[0]):
        y = scene.at(0.0, z)[1]
        below = max(y, below + _ROW_PX)
        warn = text.endswith("through")
        marks.append(drawing.line((start, y), (left - 4.0, below), "leader"))
        style = "words-warning" if warn else "words"
        marks.append(drawing.words(left, below + 4.0, text, style))
    return marks


def _close_up(scene: _Scene, width_px: int) -> list[Mark]:
    """Return one side of a few turns, large: how far the threads overlap."""
    thread, option = scene.option.thread, scene.option
    made = made_percent(thread, option.drill.diameter_mm, option.method)
    minor = made_minor_mm(thread, option.drill.diameter_mm, option.method)
    margin, long = 0.5 * thread.pitch_mm, _TURNS * thread.pitch_mm
    inner, outer = thread.root_mm / 2.0 - margin, thread.major_mm / 2.0 + margin
    scale = min(_CLOSE_UP_PX[0] / (outer - inner), _CLOSE_UP_PX[1] / long)
    left = width_px - 16.0 - (outer - inner) * scale

    def at(r: float, z: float) -> Point:
        return left + (r - inner) * scale, _TOP_PX + min(max(z, 0.0), long) * scale

    bore = [(r, z - thread.pitch_mm) for r, z in internal_ridges(thread, minor, 2.0 * long)]
    ridges = external_ridges(thread, -thread.pitch_mm, 2.0 * long)
    hole = option.drill.diameter_mm / 2.0
    return [
        drawing.polygon([at(outer, 0.0), *(at(*one) for one in bore), at(outer, long)], "bend"),
        drawing.polygon(
            [at(inner, 0.0), *(at(*one) for one in ridges), at(inner, long)], "fill-muted"
        ),
        drawing.line(at(hole, 0.0), at(hole, long), "gate", data={"mark": "hole"}),
        drawing.words(left, 40.0, "The thread close up", "words-strong"),
        drawing.words(left, _TOP_PX + long * scale + 20.0, f"{made:.0f} % of a full thread"),
        drawing.words(left, _TOP_PX + long * scale + 38.0, "dashed: as drilled", "words-quiet"),
    ]


def _scale_bar(scene: _Scene, height_px: float) -> list[Mark]:
    length = 5.0 if 5.0 * scene.scale_px < 240.0 else 1.0
    y, right = height_px - 16.0, 12.0 + length * scene.scale_px
    text = f"{length:g} mm"
    room = right + 8.0 + labels.text_width_px(text)
    return [
        drawing.line((12.0, y), (right, y), "limit", data={"mark": "scale"}),
        drawing.words(room, y + 4.0, text, "words-quiet", anchor="end"),
    ]
