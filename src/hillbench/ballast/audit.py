"""Check a plan anew, in millimetres and without a grid: nothing here is shared with the search.

Surfaces are taken as they were entered: a leaning wall is a plane and a post is round.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from hillbench.ballast.cavity import Ceiling, KeepOut
from hillbench.ballast.plan import Placement, Plan
from hillbench.ballast.task import BallastTask

TOUCH_MM = 1e-6
"""How deep two things may overlap and still count as touching, mm."""


def faults(task: BallastTask, plan: Plan) -> tuple[str, ...]:
    """Return everything that is wrong with a plan, in words; empty where it can be built.

    Parameters
    ----------
    task
        What was asked.
    plan
        The plan.
    """
    found = [*_mass(task, plan), *_balance(task, plan)]
    for placement in plan.placements:
        found += _inside(task, placement)
        found += _resting(task, plan, placement)
    for first, second in itertools.combinations(plan.placements, 2):
        if all(_overlap(_span(first, axis), _span(second, axis)) > TOUCH_MM for axis in range(3)):
            found.append(f"pieces {first.number} and {second.number} overlap")
    return tuple(found)


def _span(placement: Placement, axis: int) -> tuple[float, float]:
    low = (placement.x_mm, placement.y_mm, placement.z_mm)[axis]
    return low, low + placement.size_mm[axis]


def _overlap(first: tuple[float, float], second: tuple[float, float]) -> float:
    return min(first[1], second[1]) - max(first[0], second[0])


def _mass(task: BallastTask, plan: Plan) -> Iterator[str]:
    total = math.fsum([thing.mass_g for thing in task.fixed] + [p.mass_g for p in plan.placements])
    if abs(total - plan.total_g) > 0.002 * (1 + len(plan.placements)):
        yield f"the masses sum to {total:.3f} g, not {plan.total_g:.3f} g"
    if total > task.limit_g - task.scale_guard_g + 0.002 * (1 + len(plan.placements)):
        yield f"{total:.3f} g is above the limit"
    for piece in task.stock:
        used = sum(placement.name == piece.name for placement in plan.placements)
        known = sum(other.count for other in task.stock if other.name == piece.name)
        if used > known:
            yield f"{used} of {piece.name} are used, {known} are there"
    putty = [placement for placement in plan.placements if placement.name == "putty"]
    most = task.putty.max_g if task.putty else 0.0
    if len(putty) > 1 or sum(placement.mass_g for placement in putty) > most + 1e-6:
        yield "there is more putty than allowed"


def _balance(task: BallastTask, plan: Plan) -> Iterator[str]:
    """Compare the centre of gravity with the sum of moments over the sum of masses."""
    weights = [(t.mass_g, (t.x_mm, t.y_mm, t.z_mm)) for t in task.fixed]
    for p in plan.placements:
        centre = tuple(sum(_span(p, axis)) / 2.0 for axis in range(3))
        weights.append((p.mass_g, (centre[0], centre[1], centre[2])))
    total = math.fsum(mass for mass, _ in weights)
    told = (plan.cg_ahead_of_rear_axle_mm, plan.cg_side_mm, plan.cg_height_mm)
    for axis, name in enumerate(("along", "across", "up")):
        place = math.fsum(mass * at[axis] for mass, at in weights) / total
        if abs(place - told[axis]) > 0.02:
            yield f"the centre of gravity {name} is at {place:.3f} mm, not {told[axis]:.3f} mm"


def _inside(task: BallastTask, placement: Placement) -> Iterator[str]:
    cavity, name = task.cavity, f"piece {placement.number}"
    for axis, ends in enumerate((cavity.x_mm, cavity.y_mm)):
        low, high = _span(placement, axis)
        gap = cavity.wall_clearance_mm
        if low < ends[0] + gap - TOUCH_MM or high > ends[1] - gap + TOUCH_MM:
            yield f"{name} goes into a wall"
    if placement.z_mm - placement.tape_mm < cavity.floor_z_mm - TOUCH_MM:
        yield f"{name} goes into the floor"
    for surface in cavity.ceiling:
        if _pierces(surface, placement):
            yield f"{name} goes into the {surface.name}"
    for keep_out in cavity.keep_outs:
        if _intrudes(keep_out, placement):
            yield f"{name} comes too near to the {keep_out.name}"


def _pierces(surface: Ceiling, placement: Placement) -> bool:
    top = _span(placement, 2)[1]
    if surface.kind == "side":
        outer = max(abs(y) for y in _span(placement, 1))
        above = max(top - (surface.z_from_mm or 0.0), 0.0)
        half = (surface.half_width_mm or 0.0) - (surface.lean or 0.0) * above
        return outer > half - surface.clearance_mm + TOUCH_MM
    if surface.from_mm is None or surface.to_mm is None:
        return False
    (x0, z0), (x1, z1) = sorted((tuple(surface.from_mm), tuple(surface.to_mm)))
    low, high = _span(placement, 0)
    if min(high, x1) - max(low, x0) <= TOUCH_MM:
        return False
    heights = (z0 + (z1 - z0) * (x - x0) / (x1 - x0) for x in (max(low, x0), min(high, x1)))
    return top > min(heights) - surface.clearance_mm + TOUCH_MM


def _intrudes(keep_out: KeepOut, placement: Placement) -> bool:
    gap = keep_out.clearance_mm
    low, high = keep_out.z_mm or (None, None)
    ends = (-math.inf if low is None else low - gap, math.inf if high is None else high + gap)
    span = (placement.z_mm - placement.tape_mm, _span(placement, 2)[1])
    if _overlap(span, ends) <= TOUCH_MM:
        return False
    if isinstance(keep_out.x_mm, tuple) and isinstance(keep_out.y_mm, tuple):
        return all(
            _overlap(_span(placement, axis), (place[0] - gap, place[1] + gap)) > TOUCH_MM
            for axis, place in enumerate((keep_out.x_mm, keep_out.y_mm))
        )
    distances = []
    for axis, centre in enumerate((keep_out.x_mm, keep_out.y_mm)):
        near, far = _span(placement, axis)
        distances.append(max(near - _number(centre), _number(centre) - far, 0.0))
    return math.hypot(*distances) < (keep_out.radius_mm or 0.0) + gap - TOUCH_MM


def _number(value: float | tuple[float, ...]) -> float:
    return value if isinstance(value, float | int) else math.nan


def _resting(task: BallastTask, plan: Plan, placement: Placement) -> Iterator[str]:
    """Check what carries a piece: a piece of that height below it, or enough floor."""
    foot = placement.z_mm - placement.tape_mm
    if placement.parent == 0:
        share = _floor_share(task, placement, foot)
        # Cells at the rim of a piece count whole in the search, so a little less is right.
        rim = 2 * task.grid_mm * sum(1.0 / edge for edge in placement.size_mm[:2])
        if share < task.floor_support - min(rim, 0.5) - TOUCH_MM:
            yield f"piece {placement.number} has {share:.0%} of its area on the floor"
        return
    below = plan.placements[placement.parent - 1]
    if below.number >= placement.number:
        yield f"piece {placement.number} is laid before what carries it"
    if abs(_span(below, 2)[1] - foot) > TOUCH_MM:
        yield f"piece {placement.number} does not touch piece {below.number} below it"
    if below.shape == "cylinder" or below.name == "putty":
        yield f"piece {placement.number} lies on something round or soft"
    for axis in range(2):
        own, its = _span(placement, axis), _span(below, axis)
        most = task.max_overhang * placement.size_mm[axis] + TOUCH_MM
        if own[0] < its[0] - most or own[1] > its[1] + most:
            yield f"piece {placement.number} hangs too far over piece {below.number}"
    if placement.layer > 3:
        yield f"piece {placement.number} is on a fourth layer"


def _floor_share(task: BallastTask, placement: Placement, foot: float) -> float:
    """Return which share of a piece's area is carried at its foot."""
    area = placement.size_mm[0] * placement.size_mm[1]
    if abs(foot - task.cavity.floor_z_mm) < TOUCH_MM:
        return 1.0
    carried = 0.0
    for keep_out in task.cavity.keep_outs:
        heights = keep_out.z_mm
        if heights is None or heights[1] is None or keep_out.clearance_mm > 0.0:
            continue
        if abs(heights[1] - foot) > 0.1 or not isinstance(keep_out.x_mm, tuple):
            continue
        if isinstance(keep_out.y_mm, tuple):
            carried += max(
                _overlap(_span(placement, 0), (keep_out.x_mm[0], keep_out.x_mm[1])), 0.0
            ) * max(_overlap(_span(placement, 1), (keep_out.y_mm[0], keep_out.y_mm[1])), 0.0)
    return carried / area
