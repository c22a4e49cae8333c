"""Invented gate times of a run: those of the model, with what the run lost on its way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from hillbench.demo.season import InventedRun
from hillbench.records.entities import RunNote

_READING_S: Final = 0.001


def gate_times(
    model_gates_s: Sequence[float], model_time_s: float, run: InventedRun
) -> tuple[float | None, ...]:
    """Return the gate times of a run, s; none where the hill has no gates.

    Parameters
    ----------
    model_gates_s, model_time_s
        What the car takes to each gate and to the finish without scatter, s.
    run
        The run; a snag held it up somewhere between two gates, and one that left the track
        passed the first gate at most.
    """
    if not len(model_gates_s):
        return ()
    # Its own source, so that a hill may get gates without every other time changing.
    rng = np.random.default_rng((run.second, len(run.car)))
    if run.finish_time_s is None:
        if rng.random() < 0.5:
            return ()
        return (round(float(model_gates_s[0]), 3), *[None] * (len(model_gates_s) - 1))
    late_s = run.finish_time_s - model_time_s
    if run.note is RunNote.SNAG:
        held_after = int(rng.integers(0, len(model_gates_s) + 1))
        lost = [late_s if number >= held_after else 0.0 for number in range(len(model_gates_s))]
    else:
        lost = [late_s * gate_s / model_time_s for gate_s in model_gates_s]
    noise = rng.normal(0.0, _READING_S, len(model_gates_s))
    return tuple(
        round(float(gate_s + lost_s + off), 3)
        for gate_s, lost_s, off in zip(model_gates_s, lost, noise, strict=True)
    )
