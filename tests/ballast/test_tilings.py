"""Solids cut into pieces: all of them must go back in, whatever the cuts."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.benders import Decomposition
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.packing import Found
from hillbench.ballast.places import pose
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.sums import sums_of
from tests.ballast.boxes import box_task

Cut = tuple[int, int]


def cut_up(cuts: list[tuple[int, int]], size: Cut) -> list[Cut]:
    """Return a rectangle cut straight through again and again."""
    parts = [size]
    for which, place in cuts:
        index = which % len(parts)
        long, wide = parts[index]
        if max(long, wide) < 2:
            continue
        at = 1 + place % (max(long, wide) - 1)
        two = ((at, wide), (long - at, wide)) if long >= wide else ((long, at), (long, wide - at))
        parts[index : index + 1] = two
    return parts


@settings(max_examples=25, deadline=None)
@given(
    st.tuples(st.integers(3, 9), st.integers(2, 6)),
    st.lists(st.tuples(st.integers(0, 20), st.integers(0, 20)), min_size=1, max_size=6),
    st.integers(1, 2),
)
def test_a_solid_cut_up_goes_back_in(
    size: tuple[int, int], cuts: list[tuple[int, int]], layers: int
) -> None:
    """The limit is the mass of the whole solid, so the optimum is 0 short, by construction."""
    parts = cut_up(cuts, size)
    total = layers * sum(a * b for a, b in parts)
    stock = tuple(
        StockPiece(f"part {number}", (float(a), float(b), 1.0), layers, a * b * 0.1, lie_flat=True)
        for number, (a, b) in enumerate(parts)
    )
    task = box_task(
        (float(size[0]), float(size[1])),
        float(layers),
        stock,
        limit_g=20.0 + total * 0.1,
        grid_mm=1.0,
        max_overhang=0.0,
    )
    verdict = Decomposition(sums_of(pose(task))).settle(Level.MASS, Settled(), Deadline())
    assert verdict.found is Found.YES
    assert verdict.layout is not None
    assert verdict.layout.score.short == 0
    assert len(verdict.layout.laid) == layers * len(parts)
