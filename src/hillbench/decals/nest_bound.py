"""How few sheets there can be, proven by counting."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.decals.boxes import Box, Room


def least_sheets(boxes: Sequence[Box], room: Room) -> int:
    """Return a number of sheets that no way of laying these boxes can go below.

    Notes
    -----
    Two bounds, the larger counts: the area of the boxes over that of a sheet, rounded up; and the
    size of a set of boxes of which no two can share a sheet, since two boxes side by side or one
    above the other, in any stance, are the only ways to share it.
    """
    if not boxes:
        return 0
    area = sum(box.across * box.down for box in boxes)
    by_area = -(-area // (room.across * room.down))
    return max(by_area, _apart(boxes, room), 1)


def _apart(boxes: Sequence[Box], room: Room) -> int:
    """Return the size of a set of boxes, found greedily, that pairwise need sheets of their own."""
    chosen: list[Box] = []
    for box in sorted(boxes, key=lambda one: min(one.across, one.down), reverse=True):
        if all(not _share(box, other, room) for other in chosen):
            chosen.append(box)
    return len(chosen)


def _share(first: Box, second: Box, room: Room) -> bool:
    return any(
        (wide + across <= room.across and max(high, down) <= room.down)
        or (high + down <= room.down and max(wide, across) <= room.across)
        for wide, high, _ in first.stances()
        for across, down, _ in second.stances()
    )
