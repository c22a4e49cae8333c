"""A ballast plan in space, seen from any side: floor, posts, pieces, and glass over them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from hillbench.ballast.cavity import Cavity, KeepOut
from hillbench.ballast.plan import Placement, Plan
from hillbench.ballast.task import BallastTask
from hillbench.pictures import drawing
from hillbench.pictures.ballast_view import is_glass, roof_at
from hillbench.pictures.solids import Flat, Look, Place, Solid, box, cylinder

LEAST_TILT_DEG: Final = 10.0
MOST_TILT_DEG: Final = 90.0
_PAD_PX: Final = 26.0
_HEIGHT_SHARE: Final = 0.62
_SAME_MM: Final = 1e-9


@dataclass(frozen=True, slots=True)
class _Paper:
    """Where places in space come to lie on the sheet."""

    look: Look
    centre: Flat
    middle_px: Flat
    px_per_mm: float

    def at(self, place: Place) -> Flat:
        along, up = self.look.flat(place)
        return (
            self.middle_px[0] + (along - self.centre[0]) * self.px_per_mm,
            self.middle_px[1] - (up - self.centre[1]) * self.px_per_mm,
        )


def solid_picture(
    task: BallastTask, plan: Plan, sentence: str, look: Look, *, width_px: int, key: str
) -> str:
    """Return a plan in space as SVG.

    Parameters
    ----------
    task
        The car.
    plan
        What goes where.
    sentence
        The answer in one sentence, for those who do not see the picture.
    look
        From where it is seen.
    width_px
        Width of the picture.
    key
        Name of the picture, unique in its page.
    """
    cavity, height_px = task.cavity, width_px * _HEIGHT_SHARE
    paper = _paper(cavity, look, (width_px, height_px))
    marks = [*_floor(paper, task)]
    for solid in look.order([*_posts(cavity), *(_piece(one) for one in plan.placements)]):
        marks += _solid_marks(paper, solid)
    marks += _body(paper, cavity)
    marks += _words(paper, task, plan)
    return drawing.picture(
        key,
        "The ballast in space",
        f"{sentence} Seen turned by {look.turn_deg:g}°, from {look.tilt_deg:g}° above.",
        (width_px, height_px),
        marks,
        data={"turn_deg": f"{look.turn_deg:g}", "tilt_deg": f"{look.tilt_deg:g}"},
    )


def _paper(cavity: Cavity, look: Look, size_px: Flat) -> _Paper:
    """Return a scale at which the whole inside stays on the sheet however it is turned."""
    (x0, x1), (y0, y1), floor = cavity.x_mm[:2], cavity.y_mm[:2], cavity.floor_z_mm
    top = _top(cavity)
    corners = [look.flat((x, y, z)) for x in (x0, x1) for y in (y0, y1) for z in (floor, top)]
    across = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    ups = [up for _, up in corners]
    scale = min(
        (size_px[0] - 2 * _PAD_PX) / across,
        (size_px[1] - 2 * _PAD_PX) / max(max(ups) - min(ups), 1.0),
    )
    alongs = [along for along, _ in corners]
    centre = ((min(alongs) + max(alongs)) / 2.0, (min(ups) + max(ups)) / 2.0)
    return _Paper(look, centre, (size_px[0] / 2.0, size_px[1] / 2.0), scale)


def _top(cavity: Cavity) -> float:
    heights = [point[1] for one in cavity.ceiling for point in (one.from_mm, one.to_mm) if point]
    return max([*heights, cavity.floor_z_mm + 2.0])


def _floor(paper: _Paper, task: BallastTask) -> Iterator[drawing.Mark]:
    cavity = task.cavity
    (x0, x1), (y0, y1), z = cavity.x_mm[:2], cavity.y_mm[:2], cavity.floor_z_mm
    ring = [paper.at(one) for one in ((x0, y0, z), (x1, y0, z), (x1, y1, z), (x0, y1, z))]
    yield drawing.polygon(ring, "bend")
    yield drawing.polyline([*ring, ring[0]], "axis")
    yield drawing.line(paper.at((x0, 0.0, z)), paper.at((x1, 0.0, z)), "gate")
    for x in (0.0, task.wheelbase_mm):
        yield drawing.line(paper.at((x, y0, z)), paper.at((x, y1, z)), "line-before")


def _posts(cavity: Cavity) -> Iterator[Solid]:
    """Yield what stays free as bodies; walls that only narrow the outline are left out."""
    for one in cavity.keep_outs:
        if one.name != "side wall":
            yield _post(one, cavity)


def _post(keep_out: KeepOut, cavity: Cavity) -> Solid:
    radius = keep_out.radius_mm or 0.0
    x = keep_out.x_mm
    y = keep_out.y_mm
    xs = (x[0], x[1]) if isinstance(x, tuple) else (x - radius, x + radius)
    ys = (y[0], y[1]) if isinstance(y, tuple) else (y - radius, y + radius)
    low, high = keep_out.z_mm or (None, None)
    foot = cavity.floor_z_mm if low is None else low
    top = roof_at(cavity, sum(xs) / 2.0) if high is None else high
    ends = ((xs[0], ys[0], foot), (xs[1], ys[1], max(top, foot + 0.1)))
    if keep_out.shape == "cylinder":
        return cylinder(keep_out.name, "post", *ends, axis=2)
    return box(keep_out.name, "post", *ends)


def _piece(piece: Placement) -> Solid:
    low = (piece.x_mm, piece.y_mm, piece.z_mm)
    length, width, rise = piece.size_mm
    high = (low[0] + length, low[1] + width, low[2] + rise)
    if piece.shape != "cylinder":
        return box(piece.name, "piece", low, high, str(piece.number))
    if abs(length - width) < _SAME_MM and abs(rise - length) > _SAME_MM:
        axis = 2
    else:
        axis = 0 if abs(width - rise) < _SAME_MM else 1
    return cylinder(piece.name, "piece", low, high, axis, str(piece.number))


def _solid_marks(paper: _Paper, solid: Solid) -> list[drawing.Mark]:
    faces: list[drawing.Mark] = [
        drawing.polygon(
            [paper.at(one) for one in face.corners],
            f"{solid.kind}-{'round' if face.curved else face.side}",
        )
        for face in solid.faces
        if paper.look.sees(face)
    ]
    if solid.label:
        middle = tuple((a + b) / 2.0 for a, b in zip(solid.low, solid.high, strict=True))
        x, y = paper.at((middle[0], middle[1], solid.high[2]))
        label = drawing.words(x, y + 5.0, solid.label, "words-strong", "halo", anchor="middle")
        faces.append(label)
    return [drawing.group(faces, {"mark": solid.kind, "name": solid.name})]


def _body(paper: _Paper, cavity: Cavity) -> Iterator[drawing.Mark]:
    """Yield the lines below body and glass over both sides, glass as panes."""
    for surface in cavity.ceiling:
        if not (surface.from_mm and surface.to_mm):
            continue
        (x0, z0), (x1, z1) = surface.from_mm[:2], surface.to_mm[:2]
        half0, half1 = _half_width(cavity, z0), _half_width(cavity, z1)
        ring = [
            paper.at((x0, -half0, z0)),
            paper.at((x1, -half1, z1)),
            paper.at((x1, half1, z1)),
            paper.at((x0, half0, z0)),
        ]
        if is_glass(surface):
            yield drawing.polygon(ring, "glass")
        style = "glass-edge" if is_glass(surface) else "axis"
        yield drawing.polyline([*ring, ring[0]], style)


def _half_width(cavity: Cavity, z_mm: float) -> float:
    half = (cavity.y_mm[1] - cavity.y_mm[0]) / 2.0
    for surface in cavity.ceiling:
        if surface.kind == "side" and surface.half_width_mm is not None:
            above = max(z_mm - (surface.z_from_mm or 0.0), 0.0)
            half = min(half, surface.half_width_mm - (surface.lean or 0.0) * above)
    return max(half, 0.0)


def _words(paper: _Paper, task: BallastTask, plan: Plan) -> Iterator[drawing.Mark]:
    cavity, z = task.cavity, task.cavity.floor_z_mm
    for text, x in (("nose", cavity.x_mm[1]), ("tail", cavity.x_mm[0])):
        place = paper.at((x, 0.0, z))
        yield drawing.words(place[0], place[1] + 5.0, text, "words-quiet", "halo", anchor="middle")
    centre = (plan.cg_ahead_of_rear_axle_mm, plan.cg_side_mm, plan.cg_height_mm)
    foot = paper.at((centre[0], centre[1], z))
    place = paper.at(centre)
    yield drawing.line(foot, place, "line-accent")
    yield drawing.dot(*place, radius=5.0)
