from __future__ import annotations

from hillbench.fastening.designation import parse_drill, parse_thread
from hillbench.fastening.drill import Method
from hillbench.fastening.material import materials
from hillbench.fastening.options import (
    Drive,
    Option,
    Reopening,
    Setting,
    compare,
    rate,
    usual_options,
)
from hillbench.fastening.torque import frictions

SETTING = Setting(materials()["zinc"], materials()["stainless"], 4.0, frictions()["dry"], 2.0)


def option(thread: str, drill: str, method: Method = Method.TAPPED) -> Option:
    return Option(parse_thread(thread), parse_drill(drill), method)


def test_the_usual_ways_are_told_apart() -> None:
    found = {
        (one.option.thread.size, one.option.drill.name, one.option.method): one
        for one in compare(usual_options(), SETTING)
    }
    easy = found["2", "5/64 in", Method.TAPPED]
    sound = found["2", "#50", Method.TAPPED]
    formed = found["2", "5/64 in", Method.FORMED]
    assert easy.drive is Drive.EASY
    assert easy.reopening is Reopening.FEW
    assert sound.drive is Drive.STEADY
    assert sound.reopening is Reopening.OFTEN
    assert formed.drive is Drive.HARD
    assert formed.reopening is Reopening.SOME
    assert easy.held.post_n < 0.5 * sound.held.post_n


def test_the_one_that_holds_most_stands_first_and_a_loose_one_is_left_out() -> None:
    ratings = compare([*usual_options(), option("2-56", "#43")], SETTING)
    forces = [rating.held.post_n for rating in ratings]
    assert len(ratings) == 4
    assert forces == sorted(forces, reverse=True)


def test_forming_in_a_hole_meant_for_a_tap_is_refused() -> None:
    """0.016 in below the major diameter is 132 % of what forming can raise."""
    assert rate(option("2-56", "#50", Method.FORMED), SETTING).drive is Drive.NOT


def test_a_hole_below_the_basic_minor_diameter_breaks_taps() -> None:
    assert rate(option("2-56", "#52"), SETTING).drive is Drive.NOT
