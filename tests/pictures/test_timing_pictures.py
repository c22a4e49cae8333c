"""Pictures of timed runs: well formed, true to the numbers, within their paper."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest

from hillbench.pictures.timing import comparison_of_times, gain_of_change
from hillbench.timing.compare import compare
from hillbench.timing.gain import measure_gain
from hillbench.timing.run import TimedRun
from tests.timing.runs import simulated

SVG = "{http://www.w3.org/2000/svg}"


def _runs() -> list[TimedRun]:
    runs = simulated("ABBABAAB", np.random.default_rng(2), faster_s={"B": 0.1})
    return [*runs[:7], replace(runs[7], time_s=11.5)]


@pytest.mark.parametrize("width_px", [350, 900])
def test_each_run_is_a_mark_and_the_interval_is_to_scale(width_px: int) -> None:
    runs = _runs()
    answer = compare(runs, np.random.default_rng(1))
    text = comparison_of_times(answer, runs, "A sentence & more", width_px=width_px)
    root = ElementTree.fromstring(text)
    # Seven clean runs and the middle of the gap; the odd run is a cross.
    assert len(root.findall(f".//{SVG}circle")) == 8
    assert len(root.findall(f".//{SVG}line[@class='cross']")) == 2
    bar = root.find(f".//{SVG}line[@data-mark='interval']")
    assert bar is not None
    ends = float(bar.attrib["x1"]), float(bar.attrib["x2"])
    middle_px = width_px / 2.0
    pair = answer.pairs[0]
    ratio = (ends[0] - middle_px) / (ends[1] - middle_px)
    assert ratio == pytest.approx(pair.gap_low_s / pair.gap_high_s, rel=0.01)
    for circle in root.findall(f".//{SVG}circle"):
        assert 0.0 <= float(circle.attrib["cx"]) <= width_px


def test_dots_of_the_same_time_do_not_hide_each_other() -> None:
    runs = [TimedRun("A", 10.4), TimedRun("A", 10.4), TimedRun("B", 10.5), TimedRun("B", 10.6)]
    answer = compare(runs, np.random.default_rng(1))
    root = ElementTree.fromstring(comparison_of_times(answer, runs, "A sentence"))
    places = [(dot.attrib["cx"], dot.attrib["cy"]) for dot in root.findall(f".//{SVG}circle")]
    assert len(set(places)) == len(places)


def test_a_gain_as_a_file_of_its_own_carries_its_sentence() -> None:
    runs = [*_runs(), TimedRun("<C>", 10.5)]
    gain = measure_gain(runs, "A", "B", np.random.default_rng(1))
    text = gain_of_change(gain, runs, ("A", "B"), "The change helps", standalone=True)
    root = ElementTree.fromstring(text)
    words = [element.text for element in root.findall(f".//{SVG}text")]
    assert "The change helps" in words
    assert "<C>" in words
    assert len(root.findall(f".//{SVG}circle")) == 9


def test_times_that_are_all_alike() -> None:
    runs = [TimedRun("A", 10.4), TimedRun("B", 10.4)]
    answer = compare(runs, np.random.default_rng(1))
    ElementTree.fromstring(comparison_of_times(answer, runs, "A sentence"))
