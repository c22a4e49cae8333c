"""Before and after a change."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hillbench.errors import InvalidInput
from hillbench.timing.gain import Layout, layout_of, measure_gain
from hillbench.timing.run import TimedRun
from hillbench.timing.stopping import Verdict
from tests.timing.runs import simulated


def _rng() -> np.random.Generator:
    return np.random.default_rng(21)


@pytest.mark.parametrize(
    ("order", "layout"),
    [
        ("ABBA", Layout.SWAP),
        ("BAAB", Layout.SWAP),
        ("AAABBB", Layout.PLAIN),
        ("BBBAAA", Layout.PLAIN),
        ("ACACACBCBCBC", Layout.CONTROL),
        ("CCAAABBB", Layout.PLAIN),
        ("AAABBBCC", Layout.PLAIN),
    ],
)
def test_the_layout_is_seen_from_the_order(order: str, layout: Layout) -> None:
    assert layout_of(simulated(order, _rng()), "A", "B") is layout


def test_a_clear_gain_by_swapping() -> None:
    gain = measure_gain(simulated("ABBABAAB", _rng(), faster_s={"B": 0.3}), "A", "B", _rng())
    assert gain.verdict is Verdict.SECOND
    assert gain.warning == ""
    assert gain.gain_low_s < 0.3 < gain.gain_high_s


def test_a_loss_is_a_loss() -> None:
    gain = measure_gain(simulated("ABBABAAB", _rng(), faster_s={"A": 0.3}), "A", "B", _rng())
    assert gain.verdict is Verdict.FIRST
    assert gain.gain_s < 0.0


def test_wearing_in_is_not_a_gain() -> None:
    rng = _rng()
    runs = [
        TimedRun(car, 10.5 + 0.15 * float(np.exp(-place / 4.0)) + 0.03 * float(rng.normal()))
        for place, car in enumerate("AAAAAABBBBBB")
    ]
    gain = measure_gain(runs, "A", "B", _rng())
    assert gain.layout is Layout.PLAIN
    assert "swap the part" in gain.warning
    assert gain.verdict is not Verdict.SECOND


def test_the_plain_layout_is_less_sure_than_the_others() -> None:
    widths = {}
    for order in ("ABBABAAB", "ACACACACBCBCBCBC", "AAAABBBB"):
        gain = measure_gain(simulated(order, _rng()), "A", "B", _rng())
        widths[gain.layout] = gain.gain_high_s - gain.gain_low_s
    assert widths[Layout.SWAP] < widths[Layout.CONTROL] < widths[Layout.PLAIN]


def test_the_control_takes_out_the_day() -> None:
    rng = _rng()
    runs = simulated("ACACACACACAC", rng)
    later = simulated("BCBCBCBCBCBC", rng)
    runs += [replace(run, time_s=(run.time_s or 0.0) - 0.1) for run in later]
    gain = measure_gain(runs, "A", "B", _rng())
    assert (gain.layout, gain.runs_control) == (Layout.CONTROL, 12)
    assert gain.verdict is not Verdict.SECOND


@pytest.mark.parametrize(
    ("before", "after", "matters"), [("A", "A", None), ("A", "X", None), ("A", "B", -1.0)]
)
def test_what_cannot_be_asked(before: str, after: str, matters: float | None) -> None:
    with pytest.raises(InvalidInput) as refused:
        measure_gain(simulated("ABBA", _rng()), before, after, _rng(), matters_s=matters)
    assert len(refused.value.problems) == 1
