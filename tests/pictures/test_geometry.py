"""What is drawn is what was computed, read back from the picture."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from hillbench.coasting.result import Status
from hillbench.coasting.track import Bend, SlopePoint, Track
from hillbench.pictures.comparison import comparison_picture, comparison_sentence
from hillbench.pictures.drawing import MIDDLE_PX, NARROW_PX, WIDE_PX
from hillbench.pictures.energy import energy_picture, energy_sentence
from hillbench.pictures.hill import hill_picture, hill_sentence
from hillbench.pictures.length_unit import FOOT
from hillbench.pictures.margin import margin_picture, margin_sentence
from hillbench.pictures.plan import plan_line
from hillbench.pictures.profile import profile_picture, profile_sentence
from hillbench.pictures.trace import trace_picture
from tests.pictures import reading, runs

ROUNDING_PX = 0.011


@pytest.mark.parametrize("width_px", [NARROW_PX, MIDDLE_PX, WIDE_PX])
def test_line_of_the_hill_scales_to_its_heights(width_px: int) -> None:
    root = reading.read(hill_picture(runs.TRACK, width_px=width_px))
    line = reading.corners(reading.marks(root, "surface")[0])
    (x_start, y_start), (x_end, y_end) = line[0], line[-1]
    for x, y in line:  # a plane: every place lies on the chord
        share = (x - x_start) / (x_end - x_start)
        assert y == pytest.approx(y_start + share * (y_end - y_start), abs=2 * ROUNDING_PX)
    times = ((y_end - y_start) / 1.0) / ((x_end - x_start) / 10.0)
    words = next(text for text in reading.texts(root) if text.startswith("Heights drawn"))
    assert float(words.split()[2]) == pytest.approx(times, rel=0.03)


def test_bends_and_gates_stand_where_they_are() -> None:
    root = reading.read(hill_picture(runs.TRACK))
    line = reading.corners(reading.marks(root, "surface")[0])
    px_per_m = (line[-1][0] - line[0][0]) / 10.0
    bands = [reading.corners(mark) for mark in reading.marks(root, "bend")]
    edges = [(min(x for x, _ in band), max(x for x, _ in band)) for band in bands]
    expected = [
        (line[0][0] + low * px_per_m, line[0][0] + high * px_per_m)
        for low, high in ((4, 5), (6, 7))
    ]
    assert edges == [pytest.approx(pair, abs=2 * ROUNDING_PX) for pair in expected]
    gates = [float(mark.attrib["x1"]) for mark in reading.marks(root, "gate")]
    assert gates == pytest.approx([line[0][0] + at * px_per_m for at in (2.5, 5.0)], abs=0.03)


def test_bend_words_give_direction_and_radius() -> None:
    # An arc of 1 m through 90° has a radius of 2/π m = 0.64 m, through 45° of 1.27 m.
    words = reading.texts(reading.read(hill_picture(runs.TRACK)))
    assert "↰ 90° r 0.64 m" in words
    assert "↱ 45° r 1.3 m" in words


@pytest.mark.parametrize("width_px", [NARROW_PX, MIDDLE_PX, WIDE_PX])
def test_bars_are_as_long_as_their_energies_and_meet_end_to_end(width_px: int) -> None:
    bars = reading.marks(reading.read(energy_picture(runs.ENERGY, width_px=width_px)), "bar")
    by_name = {bar.attrib["data-name"]: bar for bar in bars}
    whole = float(by_name["start"].attrib["width"])
    expected = {"start": 400.0, **runs.ENERGY.losses(), "finish_motion": 80.0}
    assert set(by_name) == set(expected)
    for name, energy_mj in expected.items():
        least = 2.0  # px, so that the smallest part is still seen
        drawn = float(by_name[name].attrib["width"])
        assert drawn == pytest.approx(max(whole * energy_mj / 400.0, least), abs=ROUNDING_PX)
    ends = [
        (float(bar.attrib["x"]), float(bar.attrib["x"]) + float(bar.attrib["width"]))
        for bar in bars
    ]
    for (low, _), (_, high) in itertools.pairwise(ends[1:-1]):
        assert high == pytest.approx(low, abs=2.1)  # the least width may reach beyond


def test_largest_loss_stands_first() -> None:
    bars = reading.marks(reading.read(energy_picture(runs.ENERGY)), "bar")
    names = [bar.attrib["data-name"] for bar in bars]
    assert names == ["start", "walls", "bearings", "rolling", "steady_drag", "air", "finish_motion"]
    assert energy_sentence(runs.ENERGY) == (
        "Of 400 mJ of height energy let go, 50 % goes to the walls, 15 % to the bearings, "
        "10 % to rolling, 5 % to steady drag, under 1 % to the air; 20 % is left as motion."
    ).replace(" %", "\u00a0%")


def test_speed_curve_is_the_square_root_it_was_made_from() -> None:
    root = reading.read(trace_picture(runs.TRACK, runs.FINISHED))
    curve = reading.corners(reading.marks(root, "speed")[0])
    (x_0, y_0), (x_end, y_end) = curve[0], curve[-1]
    for x, y in curve:
        share = (x - x_0) / (x_end - x_0)
        assert y == pytest.approx(y_0 + math.sqrt(max(share, 0.0)) * (y_end - y_0), abs=0.6)
    places = [float(text) for text in root.attrib["data-at-m"].split()]
    speeds = [float(text) for text in root.attrib["data-speed-m-s"].split()]
    assert speeds == pytest.approx(np.sqrt(0.8 * np.array(places)), abs=0.003)


def test_time_at_each_gate_is_written() -> None:
    words = reading.texts(reading.read(trace_picture(runs.TRACK, runs.FINISHED)))
    assert {"3.54 s", "5.00 s", "7.07 s"} <= set(words)  # √2/0.4, 2/0.4, √8/0.4


def test_ribbon_ends_where_the_run_ended() -> None:
    root = reading.read(profile_picture(runs.TRACK, runs.stopped_at(400)))
    line = reading.corners(reading.marks(root, "surface")[0])
    right = max(x for mark in reading.marks(root, "speed") for x, _ in reading.corners(mark))
    expected = line[0][0] + 0.4 * (line[-1][0] - line[0][0])
    assert right == pytest.approx(expected, abs=2 * ROUNDING_PX)
    assert "stops here, 4.00 m" in reading.texts(root)
    assert "stops at 4.00 m" in profile_sentence(runs.stopped_at(400))


def test_a_car_that_does_not_start_is_told_so() -> None:
    run = runs.stopped_at(0, Status.DID_NOT_START)
    assert profile_sentence(run) == "The car stays on the start line."
    words = reading.texts(reading.read(profile_picture(runs.TRACK, run)))
    assert "stays here, 0 m" in words


def test_a_level_track_is_drawn_level() -> None:
    root = reading.read(hill_picture(Track(5.0, slope_points=(SlopePoint(0.0, 0.0),))))
    line = reading.corners(reading.marks(root, "surface")[0])
    assert {y for _, y in line} == {line[0][1]}
    words = next(text for text in reading.texts(root) if text.startswith("Heights drawn"))
    assert float(words.split()[2]) < 20.0


def test_margin_bars_are_shares_of_the_limit() -> None:
    root = reading.read(margin_picture(runs.MARGINS))
    bars = reading.marks(root, "bar")
    shares = {bar.attrib["data-at-m"]: float(bar.attrib["width"]) for bar in bars}
    assert set(shares) == {"4.5", "6.5"}  # the tightest at each place, none without a limit
    assert shares["4.5"] / shares["6.5"] == pytest.approx(0.5 / 1.2, abs=0.001)
    assert margin_sentence(runs.MARGINS) == (
        "Too fast at 6.50 m: 3.00 m/s, and at 2.50 m/s the car tips over."
    )
    assert "50\u00a0% of the 4.00 m/s" in margin_sentence(runs.MARGINS[:3])


def test_comparison_gives_the_seconds_gained() -> None:
    before, after = runs.FINISHED, runs.faster_by(0.1)
    words = reading.texts(reading.read(comparison_picture(runs.TRACK, before, after)))
    gain = 8.0**0.5 / 0.4 * (1.0 - 1.0 / 1.1)
    assert f"+{gain:.3f} s" in words
    assert f"gains {gain:.3f} s" in comparison_sentence(before, after)
    assert f"loses {gain:.3f} s" in comparison_sentence(after, before)


def test_plan_of_a_closed_ring_returns_to_its_start() -> None:
    level = (SlopePoint(0.0, 0.0),)
    for turn in (360.0, -360.0):
        ring = Track(2.0, slope_points=level, bends=(Bend(0.0, 2.0, turn),))
        _, plan = plan_line(ring)
        assert plan[-1] == pytest.approx((0.0, 0.0), abs=1e-6)
        assert np.ptp(plan[:, 1]) == pytest.approx(2.0 / math.pi, rel=1e-5)  # its diameter
        assert np.sign(plan[len(plan) // 2, 1]) == math.copysign(1.0, turn)


def test_plan_of_a_slope_is_shortened_by_its_cosine() -> None:
    _, plan = plan_line(Track(10.0, slope_points=(SlopePoint(0.0, 60.0),)))
    assert plan[-1] == pytest.approx((5.0, 0.0))  # cos 60° = 1/2


def test_feet_where_feet_are_preferred() -> None:
    root = reading.read(hill_picture(runs.TRACK, unit=FOOT))
    words = reading.texts(root)
    assert {"finish 32.81 ft", "↰ 90° r 2.1 ft"} <= set(words)  # 10 m and 2/π m over 0.3048
    line = reading.corners(reading.marks(root, "surface")[0])
    at_30_ft = line[0][0] + (line[-1][0] - line[0][0]) * 30 * 0.3048 / 10.0
    tick = next(text for text in root.iter(f"{reading.SVG}text") if text.text == "30 ft")
    assert float(tick.attrib["x"]) == pytest.approx(at_30_ft, abs=0.02)
    assert hill_sentence(runs.TRACK, FOOT).startswith("32.81 ft long, falls 3.28 ft")


def test_sentence_of_a_track() -> None:
    assert hill_sentence(runs.TRACK) == (
        "10.00 m long, falls 1.00 m from start to finish, 2 bends."
    )
