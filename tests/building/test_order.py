"""Steps stand behind what they wait for; what is taken out is missed by name."""

from __future__ import annotations

import graphlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.building.order import Place, move, put_in_order, ready, take_out
from hillbench.errors import InvalidInput

DRILL = Place("drill", "Drill the posts")
TAP = Place("tap", "Tap the threads", ("drill",))
FIT = Place("fit", "Fit the weight", ("drill",))
CLOSE = Place("close", "Close with screws", ("tap", "fit"))
BUILD = (DRILL, TAP, FIT, CLOSE)


@st.composite
def builds(draw: st.DrawFn) -> list[Place]:
    """Return steps that wait for some of those before them, then shuffled."""
    count = draw(st.integers(1, 9))
    places = []
    for number in range(count):
        waits = draw(st.sets(st.integers(0, number - 1))) if number else set()
        places.append(Place(str(number), f"step {number}", tuple(map(str, sorted(waits)))))
    return draw(st.permutations(places))


@given(builds())
def test_order_passes_the_topological_sorter_of_the_standard_library(places: list[Place]) -> None:
    order = put_in_order(places)
    sorter = graphlib.TopologicalSorter({place.key: place.waits_for for place in places})
    sorter.prepare()
    could_be_next: set[str] = set()
    for key in order:
        could_be_next |= {*sorter.get_ready()}
        assert key in could_be_next, "before what it waits for"
        sorter.done(key)
    assert sorted(order) == sorted(place.key for place in places)


def test_an_order_that_holds_stays_as_it_is() -> None:
    assert put_in_order(BUILD) == ("drill", "tap", "fit", "close")
    assert put_in_order([CLOSE, FIT, TAP, DRILL]) == ("drill", "fit", "tap", "close")


def test_steps_in_a_ring_are_named() -> None:
    ring = [Place("a", "Glue", ("b",)), Place("b", "Paint", ("a",)), Place("c", "Weigh", ("a",))]
    with pytest.raises(InvalidInput) as refused:
        put_in_order(ring)
    sentence = str(refused.value)
    assert "'Glue'" in sentence
    assert "'Paint'" in sentence
    assert "'Weigh'" not in sentence
    with pytest.raises(InvalidInput, match="for itself"):
        put_in_order([Place("a", "Glue", ("a",))])


def test_a_wait_for_nothing_is_refused() -> None:
    with pytest.raises(InvalidInput, match="a step of this build"):
        put_in_order([Place("a", "Glue", ("gone",))])


def test_moving_past_what_it_waits_for_is_refused_in_words() -> None:
    assert move(BUILD, "fit", -1) == ("drill", "fit", "tap", "close")
    assert move(BUILD, "drill", -1) == ("drill", "tap", "fit", "close")
    for key, by in (("tap", -1), ("drill", 1)):
        with pytest.raises(InvalidInput) as refused:
            move(BUILD, key, by)
        assert "'Tap the threads' is before 'Drill the posts'" in str(refused.value)


def test_a_step_others_wait_for_is_kept_and_they_are_named() -> None:
    with pytest.raises(InvalidInput) as refused:
        take_out(BUILD, "drill")
    assert "'Tap the threads' and 'Fit the weight' wait for" in str(refused.value)
    assert take_out(BUILD, "close") == {"drill": (), "tap": ("drill",), "fit": ("drill",)}


def test_those_that_wait_can_wait_for_what_it_waited_for() -> None:
    left = take_out(BUILD, "tap", reattach=True)
    assert left == {"drill": (), "fit": ("drill",), "close": ("fit", "drill")}


def test_only_what_waits_for_nothing_more_is_ready() -> None:
    assert ready(BUILD, [], []) == ("drill",)
    assert ready(BUILD, ["drill"], []) == ("tap", "fit")
    assert ready(BUILD, ["drill", "tap", "fit"], ["fit"]) == ()
    assert ready(BUILD, ["drill", "tap", "fit"], []) == ("close",)
