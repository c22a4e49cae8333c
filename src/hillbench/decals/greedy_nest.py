"""Lay boxes quickly: the largest empty rectangles of each sheet are kept, the best one is taken.

Notes
-----
J. Jylänki, "A thousand ways to pack the bin" (2010): maximal rectangles, best short side fit, and
bottom-left; from memory. Several orders are tried and the best is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Final

from hillbench.decals.boxes import Box, Laid, Room

_Free = tuple[int, int, int, int]
"""Left, top, right and bottom of an empty rectangle."""

_Order = Callable[[Box], tuple[int, int]]

_ORDERS: Final[tuple[_Order, ...]] = (
    lambda box: (max(box.across, box.down), min(box.across, box.down)),
    lambda box: (box.across * box.down, max(box.across, box.down)),
    lambda box: (box.across + box.down, box.across),
    lambda box: (min(box.across, box.down), max(box.across, box.down)),
)


def greedy_nest(boxes: Sequence[Box], room: Room) -> tuple[Laid, ...]:
    """Return a place for every box on as few sheets as found, each box in order given.

    Parameters
    ----------
    boxes
        All of them must fit on an empty sheet.
    room
        Usable part of a sheet.
    """
    if not boxes:
        return ()
    tries = [
        _lay(
            boxes,
            room,
            sorted(range(len(boxes)), key=lambda at: order(boxes[at]), reverse=True),
            score,
        )
        for order in _ORDERS
        for score in (_short_side, _upper_left)
    ]
    return min(tries, key=lambda laid: _cost(laid, boxes))


def _cost(laid: Sequence[Laid], boxes: Sequence[Box]) -> tuple[int, int]:
    """Return the number of sheets and how far down the last one is used."""
    last = max(one.sheet for one in laid)
    low = max(
        one.y + (box.across if one.turned else box.down)
        for one, box in zip(laid, boxes, strict=True)
        if one.sheet == last
    )
    return last, low


_Score = Callable[[_Free, int, int], tuple[int, int]]


def _short_side(free: _Free, width: int, height: int) -> tuple[int, int]:
    spare = (free[2] - free[0] - width, free[3] - free[1] - height)
    return min(spare), max(spare)


def _upper_left(free: _Free, _width: int, height: int) -> tuple[int, int]:
    return free[1] + height, free[0]


def _lay(boxes: Sequence[Box], room: Room, order: Iterable[int], score: _Score) -> tuple[Laid, ...]:
    sheets: list[list[_Free]] = []
    found: dict[int, Laid] = {}
    for at in order:
        found[at] = _lay_one(boxes[at], room, sheets, score)
    return tuple(found[at] for at in range(len(boxes)))


def _lay_one(box: Box, room: Room, sheets: list[list[_Free]], score: _Score) -> Laid:
    for number, free in enumerate(sheets):
        spot = _best(box, free, score)
        if spot is not None:
            return _take(number, free, spot)
    sheets.append([(0, 0, room.across, room.down)])
    spot = _best(box, sheets[-1], score)
    if spot is None:
        raise ValueError("a box is larger than an empty sheet")
    return _take(len(sheets) - 1, sheets[-1], spot)


_Spot = tuple[int, int, int, int, bool]


def _best(box: Box, free: Sequence[_Free], score: _Score) -> _Spot | None:
    best: tuple[tuple[int, int], _Spot] | None = None
    for one in free:
        for width, height, turned in box.stances():
            if one[2] - one[0] < width or one[3] - one[1] < height:
                continue
            rated = score(one, width, height)
            if best is None or rated < best[0]:
                best = rated, (one[0], one[1], one[0] + width, one[1] + height, turned)
    return None if best is None else best[1]


def _take(number: int, free: list[_Free], spot: _Spot) -> Laid:
    left, top, right, bottom, turned = spot
    kept: list[_Free] = []
    cut: list[_Free] = []
    for one in free:
        if one[0] >= right or one[2] <= left or one[1] >= bottom or one[3] <= top:
            kept.append(one)
        else:
            cut += _pieces(one, (left, top, right, bottom))
    free[:] = kept + [piece for piece in _largest(cut) if not any(_inside(piece, o) for o in kept)]
    return Laid(number, left, top, turned)


def _pieces(one: _Free, taken: _Free) -> list[_Free]:
    """Return the largest rectangles left of an empty one beside what was taken."""
    left, top, right, bottom = one
    beside = (
        (left, top, taken[0], bottom),
        (taken[2], top, right, bottom),
        (left, top, right, taken[1]),
        (left, taken[3], right, bottom),
    )
    return [(a, b, c, d) for a, b, c, d in beside if c > a and d > b]


def _largest(pieces: Sequence[_Free]) -> list[_Free]:
    """Return the rectangles that lie in no other one, each once."""
    unique = list(dict.fromkeys(pieces))
    return [
        one for one in unique if not any(other != one and _inside(one, other) for other in unique)
    ]


def _inside(inner: _Free, outer: _Free) -> bool:
    return (
        inner[0] >= outer[0]
        and inner[1] >= outer[1]
        and inner[2] <= outer[2]
        and inner[3] <= outer[3]
    )
