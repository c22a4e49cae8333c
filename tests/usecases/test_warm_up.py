"""What a page would wait for is compiled before."""

from __future__ import annotations

import numpy as np

from hillbench.racing.schedule import draw_schedule
from hillbench.usecases.warm_up import warm_up


def test_drawing_compiles_nothing_more_afterwards() -> None:
    from hillbench.racing.anneal_kernel import anneal, anneal_order

    warm_up()
    before = len(anneal.signatures), len(anneal_order.signatures)
    assert min(before) > 0
    for meet_equally in (False, True):
        draw_schedule(20, 5, 1, rng=np.random.default_rng(3), meet_equally=meet_equally)
    assert (len(anneal.signatures), len(anneal_order.signatures)) == before
