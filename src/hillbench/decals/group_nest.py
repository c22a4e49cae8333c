"""Groups kept together: their boxes are laid in one bundle, which is then laid as a box."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hillbench.decals.boxes import Box, Laid, Room
from hillbench.decals.greedy_nest import greedy_nest


@dataclass(frozen=True, slots=True)
class Bundle:
    """Boxes that lie together.

    Attributes
    ----------
    box
        The box around them.
    members
        Numbers of the boxes.
    inside
        Where each lies in the bundle.
    sizes
        Across and down of each as it stands unturned.
    """

    box: Box
    members: tuple[int, ...]
    inside: tuple[Laid, ...]
    sizes: tuple[tuple[int, int], ...]


def bundle(
    boxes: Sequence[Box], groups: Sequence[str], room: Room
) -> tuple[list[Bundle], tuple[str, ...]]:
    """Return the bundles, single boxes being bundles of one, and the groups too large for a sheet.

    Parameters
    ----------
    boxes
        The boxes.
    groups
        Group of each; empty for none.
    room
        Usable part of a sheet.
    """
    members: dict[str, list[int]] = {}
    for at, group in enumerate(groups):
        members.setdefault(group or f"\0{at}", []).append(at)
    bundles: list[Bundle] = []
    parted = []
    for group, numbers in members.items():
        together = _together([boxes[at] for at in numbers], numbers, room)
        if together is None:
            parted.append(group)
            bundles += [_alone(boxes[at], at) for at in numbers]
        else:
            bundles.append(together)
    return bundles, tuple(parted)


def unbundle(one: Bundle, where: Laid) -> dict[int, Laid]:
    """Return where each box of a bundle lies on its sheet."""
    found = {}
    for number, laid, size in zip(one.members, one.inside, one.sizes, strict=True):
        if not where.turned:
            spot = Laid(where.sheet, where.x + laid.x, where.y + laid.y, laid.turned)
        else:  # a quarter turn clockwise: what was at the bottom comes to the left
            down = size[0] if laid.turned else size[1]
            x = where.x + one.box.down - laid.y - down
            spot = Laid(where.sheet, x, where.y + laid.x, not laid.turned)
        found[number] = spot
    return found


def _alone(box: Box, number: int) -> Bundle:
    return Bundle(box, (number,), (Laid(0, 0, 0, False),), ((box.across, box.down),))


def _together(boxes: Sequence[Box], numbers: Sequence[int], room: Room) -> Bundle | None:
    """Return the smallest bundle found among several widths; None where none fits a sheet."""
    if len(boxes) == 1:
        return _alone(boxes[0], numbers[0])
    side = math.sqrt(sum(box.across * box.down for box in boxes))
    turnable = all(box.turnable for box in boxes)
    best: Bundle | None = None
    for stretch in (0.8, 1.0, 1.2, 1.5, 2.0, 3.0, 5.0):
        width = min(max(int(side * stretch), *(box.across for box in boxes)), room.across)
        if not all(Room(width, room.down).holds(box) for box in boxes):
            continue
        laid = greedy_nest(boxes, Room(width, room.down))
        if max(one.sheet for one in laid) > 0:
            continue
        ends = [_end(box, one) for box, one in zip(boxes, laid, strict=True)]
        around = Box(max(x for x, _ in ends), max(y for _, y in ends), turnable)
        if best is None or around.across * around.down < best.box.across * best.box.down:
            sizes = tuple((box.across, box.down) for box in boxes)
            best = Bundle(around, tuple(numbers), laid, sizes)
    return best


def _end(box: Box, laid: Laid) -> tuple[int, int]:
    across, down = (box.down, box.across) if laid.turned else (box.across, box.down)
    return laid.x + across, laid.y + down
