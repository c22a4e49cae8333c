"""Side views of the invented castings, as outlines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

Points = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Side:
    """Side view of a casting, mm ahead of the rear axle and above the track.

    Attributes
    ----------
    body
        Upper outline from tail to nose; curves run through the points.
    windows
        Outline of each window, straight.
    sill_mm
        Height of the lower edge of the body.
    """

    body: Points
    windows: Sequence[Points]
    sill_mm: float = 3.6


SIDES: Final[Mapping[str, Side]] = {
    "Brindlewick Wagon": Side(
        (
            *((-13.5, 4), (-14, 9), (-12.5, 13.5), (-10, 18.2), (2, 19.4), (18, 18.8)),
            *((27, 13.2), (40, 11.6), (53, 9.8), (56, 6.5), (55.5, 4)),
        ),
        (
            ((-9.6, 13), (-8.2, 17), (3, 17.9), (3, 13)),
            ((4.6, 13), (4.6, 17.9), (17, 17.3), (23.6, 13)),
        ),
    ),
    "Pellworth Coupé": Side(
        (
            *((-13, 4), (-14.2, 8.6), (-11, 11.4), (-3, 12.4), (8, 16.2), (17, 16.4)),
            *((27, 11.6), (41, 10.2), (52, 8), (54.5, 5.6), (54, 4)),
        ),
        (
            ((2.5, 11.8), (9, 14.9), (12.5, 15.2), (12.5, 11.8)),
            ((14, 11.8), (14, 15.2), (16.8, 15), (22.4, 11.8)),
        ),
    ),
    "Oakum Flatbed": Side(
        (
            *((-15, 4.4), (-15.4, 8), (-15, 11.2), (6, 11.2), (18.4, 11.4), (20, 18.2)),
            *((30, 19), (37, 12.8), (49, 11.6), (58, 9.6), (59.5, 6), (59, 4)),
        ),
        (((22, 12.8), (22.4, 17.2), (29.2, 17.4), (33.8, 12.8)),),
        4.2,
    ),
    "Ruddock Van": Side(
        (
            *((-11.5, 4), (-12.4, 10), (-12.4, 18), (-11, 24), (5, 25.2), (26, 24.6)),
            *((38, 17.4), (49, 13.6), (52.4, 9), (52, 4)),
        ),
        (
            ((25, 16.4), (25, 22.4), (27.4, 22.2), (36.2, 16.4)),
            ((15.4, 16.4), (15.4, 22.6), (23.4, 22.5), (23.4, 16.4)),
        ),
    ),
    "Quillon Streamliner": Side(
        (
            *((-22, 4), (-22.6, 5.8), (-12, 9.4), (4, 13.6), (16, 16), (24, 15.4)),
            *((33, 11.6), (46, 9.8), (58, 7.6), (62.9, 5), (62.4, 4)),
        ),
        (((9, 12.4), (16.5, 14.6), (23, 14.2), (27.6, 12.2)),),
    ),
    "Merrow Roadster": Side(
        (
            *((-11, 4), (-12.2, 8), (-9, 11), (1, 11.6), (6, 10.4), (16, 10.2)),
            *((19, 11), (32, 10.2), (44, 8.4), (48.7, 5.8), (48.2, 4)),
        ),
        (((17.6, 11), (21.6, 15.4), (22.6, 15.2), (20.4, 11)),),
    ),
}
"""Side view of each invented casting."""
