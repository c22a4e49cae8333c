"""Outings: whose turn it is, what is kept, what is refused, what is answered."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from hillbench.errors import InvalidInput, NotFound
from hillbench.records.entities import Kind, RunNote, TimedBy
from hillbench.records.outing_entities import Conditions
from hillbench.timing.compare import compare
from hillbench.timing.prior import GENERAL
from hillbench.timing.run import TimedRun
from hillbench.usecases.begin_outing import begin_outing, change_outing
from hillbench.usecases.enter_run import edit_run, enter_run, undo_last
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.note_run import note_run
from hillbench.usecases.remove_thing import remove_thing, restore_thing
from hillbench.usecases.save_car import save_car
from hillbench.usecases.show_car import show_car
from hillbench.usecases.show_outing import list_outings, show_outing
from tests.databases import on_both
from tests.usecases.outings import NOW, Clock, clock

ABBA = (10.02, 10.11, 10.13, 9.99)


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Clock]:
    """An outing of two cars on one lane."""
    with clock(tmp_path) as made:
        yield made


def sentence(act: Callable[[], object]) -> str:
    with pytest.raises(InvalidInput) as caught:
        act()
    assert len(caught.value.problems) == 1
    return caught.value.problems[0].sentence()


def test_two_cars_run_abba(two: Clock) -> None:
    order = []
    for time_s in (*ABBA, *ABBA):
        order.append(two.view().next_turns[0].label)
        two.enter_next(time_s)
    # ABBABAAB balances a steady drift: Cox, Planning of Experiments, 1958, section 14.3.
    assert [label[0] for label in order] == list("SBBSBSSB")
    assert [run.run.number for run in two.view().runs] == [1, 2, 3, 4, 5, 6, 7, 8]


def test_lanes_are_swapped_evenly(tmp_path: Path) -> None:
    with clock(tmp_path, lanes=2) as made:
        made.enter_next(*ABBA, *ABBA)
        lanes = [(one.label, str(one.run.lane)) for one in made.view().runs]
    for car in ("Sorrel", "Bramble"):
        assert sorted(lane for label, lane in lanes if label == car) == ["1", "1", "2", "2"]


def test_cars_start_side_by_side(tmp_path: Path) -> None:
    with clock(tmp_path) as made:
        outing = begin_outing(made.book, made.track_id, made.car_ids, 2, NOW, together=True)
        side = Clock(made.book, made.track_id, made.car_ids, outing.id)
        first = side.view().next_turns
        assert {turn.lane for turn in first} == {"1", "2"}
        side.enter_next(10.0)
        assert [turn.car_id for turn in side.view().next_turns] == [first[1].car_id]
        side.enter_next(10.1)
        second = side.view().next_turns
        assert {(turn.car_id, turn.lane) for turn in second}.isdisjoint(
            {(turn.car_id, turn.lane) for turn in first}
        )


def test_plan_goes_on_when_it_is_done_and_waits_for_no_guest(two: Clock) -> None:
    guest = save_car(two.book, "Marsh Runner", "Guest", "", NOW).id
    enter_run(two.book, two.outing_id, guest, 10.3, "clean", NOW)
    assert two.view().next_turns[0].label == "Sorrel"
    enter_run(two.book, two.outing_id, two.car_ids[1], 10.1, "clean", NOW)
    assert two.view().next_turns[0].label == "Sorrel"  # Bramble ran out of turn
    for _ in range(12):
        two.enter_next(10.0, 10.1)
    view = two.view()
    counts = {car.label: car.run_count for car in view.cars}
    assert counts["Guest"] == 1
    assert abs(counts["Sorrel"] - counts["Bramble"]) <= 1
    assert [car.planned for car in view.cars] == [True, True, False]


def test_answer_is_that_of_the_comparison(two: Clock) -> None:
    two.enter_next(*ABBA, 10.12, 10.01, 10.0, 10.1)  # Sorrel runs 1, 4, 6 and 7
    view = two.view()
    assert view.comparison is not None
    runs = [
        TimedRun(one.label, one.run.finish_time_s, outing="x", order=place)
        for place, one in enumerate(view.runs, start=1)
    ]
    expected = compare(runs, np.random.default_rng(5))
    pair, same = view.comparison.pairs[0], expected.pairs[0]
    assert pair.gap_s == pytest.approx(same.gap_s, abs=0.003)
    assert pair.probability_first_faster == pytest.approx(same.probability_first_faster, abs=0.02)
    assert view.comparison.spread_source == GENERAL
    assert view.sentence.startswith("Sorrel is faster")


def test_history_of_the_track_is_used_and_told(two: Clock) -> None:
    rng = np.random.default_rng(3)
    for number in range(30):
        at = NOW - timedelta(days=1 + number % 3)
        time_s = 10.0 + 0.02 * float(rng.standard_normal())
        note_run(two.book, two.track_id, two.car_ids[number % 2], time_s, "clean", at)
    two.enter_next(10.00, 10.05)
    comparison = two.view().comparison
    assert comparison is not None
    assert comparison.spread_source == "30 earlier runs on this track"
    assert comparison.spread_s == pytest.approx(0.02, rel=0.5)


def test_one_car_alone_and_runs_without_a_time(two: Clock) -> None:
    assert two.view().sentence == "Run Sorrel first."
    enter_run(two.book, two.outing_id, two.car_ids[0], None, "off track", NOW)
    view = two.view()
    assert view.comparison is None
    assert view.sentence.startswith("The only run has no time")
    assert view.unfinished_count == 1
    two.enter_next(10.1)
    assert "time another car" in two.view().sentence


def test_bad_run_is_flagged_and_kept(two: Clock) -> None:
    two.enter_next(10.00, 10.05, 10.06, 10.01, 10.04, 11.20, 10.02, 10.06)
    odd = [one for one in two.view().runs if one.odd is not None]
    assert [one.run.finish_time_s for one in odd] == [11.20]
    assert odd[0].odd is not None
    assert "slower" in odd[0].odd.why


@pytest.mark.parametrize(
    ("time_s", "note", "told"),
    [
        (-1.0, "clean", "finish_time_s is -1 s; allowed is between 0.1 and 3600 s"),
        (0.0, "clean", "finish_time_s is 0 s; allowed is between 0.1 and 3600 s"),
        (1e9, "clean", "finish_time_s is 1e+09 s; allowed is between 0.1 and 3600 s"),
        (float("nan"), "clean", "finish_time_s is nan s"),
        (None, "clean", "finish_time_s is empty"),
        (10.0, "no finish", "finish_time_s is 10 s; allowed is no time"),
        (10.0, "lovely", "note is 'lovely'; allowed is one of: clean, snag"),
        (1000.0, "clean", "was 10.00 s meant?"),
        (100.3, "clean", "was 10.03 s meant?"),
        (1.01, "clean", "was 10.10 s meant?"),
        (35.0, "clean", "finish_time_s is 35 s; allowed is near the other times here"),
    ],
)
def test_bad_times_are_told_in_one_sentence(
    two: Clock, time_s: float | None, note: str, told: str
) -> None:
    two.enter_next(*ABBA)
    found = sentence(lambda: enter_run(two.book, two.outing_id, two.car_ids[0], time_s, note, NOW))
    assert told in found
    assert len(two.view().runs) == 4


def test_far_time_may_be_confirmed(two: Clock) -> None:
    two.enter_next(*ABBA)
    car = two.car_ids[0]
    kept = enter_run(two.book, two.outing_id, car, 35.0, "clean", NOW, confirmed=True)
    assert kept.finish_time_s == 35.0


def test_first_time_on_a_track_is_held_against_its_length(two: Clock) -> None:
    car = two.car_ids[0]
    told = sentence(lambda: enter_run(two.book, two.outing_id, car, 1000.0, "clean", NOW))
    assert "was 10.00 s meant?" in told
    assert enter_run(two.book, two.outing_id, car, 10.0, "clean", NOW).number == 1


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"lane": "x" * 21}, "lane is 21 characters long"),
        ({"lane": "a\tb"}, "control character"),
        ({"entry_key": "k" * 201}, "entry_key is 201 characters long"),
        ({"time_source": "sundial"}, "one of: timer, typed, phone"),
        ({"time_uncertainty_s": -1.0}, "time_uncertainty_s is -1 s"),
    ],
)
def test_other_bad_entries(two: Clock, more: dict[str, object], told: str) -> None:
    def act() -> None:
        enter_run(two.book, two.outing_id, two.car_ids[0], 10.0, "clean", NOW, **more)  # type: ignore[arg-type]

    assert told in sentence(act)


@on_both
def test_what_is_not_there(two: Clock) -> None:
    rng = np.random.default_rng(1)
    acts: list[Callable[[], object]] = [
        lambda: enter_run(two.book, 99, 1, 10.0, "clean", NOW),
        lambda: enter_run(two.book, two.outing_id, 99, 10.0, "clean", NOW),
        lambda: edit_run(two.book, 99, 1, 10.0, "clean", NOW),
        lambda: undo_last(two.book, 99, NOW),
        lambda: show_outing(two.book, 99, rng),
        lambda: begin_outing(two.book, 99, two.car_ids, 1, NOW),
        lambda: begin_outing(two.book, two.track_id, [1, 99], 1, NOW),
    ]
    for act in acts:
        with pytest.raises(NotFound):
            act()
    assert two.view().runs == ()


@on_both
def test_same_key_is_kept_once(two: Clock) -> None:
    def enter(car_id: int, time_s: float) -> int:
        return enter_run(
            two.book, two.outing_id, car_id, time_s, "clean", NOW, entry_key="phone-1-7"
        ).id

    first = enter(two.car_ids[0], 10.0)
    assert enter(two.car_ids[0], 10.0) == first
    assert enter(two.car_ids[1], 99999.0) == first  # whatever else comes under it
    undo_last(two.book, two.outing_id, NOW)
    assert enter(two.car_ids[0], 10.0) == first  # what was taken back stays away
    assert two.view().runs == ()
    other = begin_outing(two.book, two.track_id, two.car_ids, 1, NOW)
    again = sentence(
        lambda: enter_run(two.book, other.id, 1, 10.0, "clean", NOW, entry_key="phone-1-7")
    )
    assert "used in another outing" in again


@on_both
def test_clock_of_a_device_may_jump(two: Clock) -> None:
    later = NOW + timedelta(hours=1)
    moments = [NOW + timedelta(minutes=5), NOW - timedelta(days=900), NOW + timedelta(days=900)]
    kept = [
        enter_run(two.book, two.outing_id, two.car_ids[0], 10.0, "clean", later, at=at)
        for at in moments
    ]
    assert [run.at for run in kept] == [moments[0], later, later]
    assert [one.run.id for one in two.view().runs] == [run.id for run in kept]


def test_hand_timing_is_less_certain_and_counted(two: Clock) -> None:
    for time_s in ABBA:
        turn = two.view().next_turns[0]
        enter_run(two.book, two.outing_id, turn.car_id, time_s, "clean", NOW, time_source="phone")
    view = two.view()
    assert view.hand_timed_count == 4
    assert {one.run.time_uncertainty_s for one in view.runs} == {0.10}
    assert {one.run.time_source for one in view.runs} == {TimedBy.PHONE}
    assert view.comparison is not None
    assert view.comparison.spread_s >= 0.10


@on_both
def test_edit_keeps_the_old_values(two: Clock) -> None:
    two.enter_next(*ABBA)
    run = two.view().runs[1].run
    later = NOW + timedelta(minutes=30)
    edit_run(two.book, run.id, two.car_ids[0], 10.21, "snag", later, lane="2")
    edit_run(two.book, run.id, two.car_ids[0], 10.21, "snag", later, lane="2")  # changes nothing
    edit_run(two.book, run.id, two.car_ids[0], None, "off track", later, lane="2")
    shown = two.view().runs[1]
    assert (shown.run.finish_time_s, shown.run.note) == (None, RunNote.OFF_TRACK)
    assert [(edit.finish_time_s, edit.note, edit.lane) for edit in shown.edits] == [
        (10.11, "clean", None),
        (10.21, "snag", "2"),
    ]
    assert shown.edits[0].car_id == two.car_ids[1]
    told = sentence(lambda: edit_run(two.book, run.id, two.car_ids[0], 1021.0, "clean", later))
    assert "was 10.21 s meant?" in told


@on_both
def test_undo_takes_back_one_after_the_other(two: Clock) -> None:
    two.enter_next(*ABBA)
    for number in (4, 3):
        gone = undo_last(two.book, two.outing_id, NOW)
        assert gone is not None
        assert gone.number == number
    assert two.view().next_turns[0].label == "Bramble"
    restore_thing(two.book, Kind.TIMED_RUN, two.view().runs[-1].run.id)
    two.enter_next(10.1)
    assert [one.run.number for one in two.view().runs] == [1, 2, 5]  # no number twice
    for _ in range(3):
        undo_last(two.book, two.outing_id, NOW)
    assert undo_last(two.book, two.outing_id, NOW) is None


@on_both
def test_removed_outing_takes_its_runs_and_brings_them_back(two: Clock) -> None:
    two.enter_next(*ABBA)
    undo_last(two.book, two.outing_id, NOW + timedelta(minutes=1))
    remove_thing(two.book, Kind.OUTING, two.outing_id, NOW + timedelta(minutes=2))
    assert list_outings(two.book) == ()
    assert show_car(two.book, two.car_ids[0]).run_count == 0
    removed = [(one.kind, one.title) for one in list_removed(two.book)]
    assert removed == [(Kind.OUTING, "Long shed, 2026-03-01 19:00 UTC")]
    refused = sentence(
        lambda: enter_run(two.book, two.outing_id, two.car_ids[0], 10.0, "clean", NOW)
    )
    assert "restore it first" in refused
    restore_thing(two.book, Kind.OUTING, two.outing_id)
    assert [one.run.number for one in two.view().runs] == [1, 2, 3]
    assert [one.kind for one in list_removed(two.book)] == [Kind.TIMED_RUN]


@on_both
def test_outings_are_listed_latest_first(two: Clock) -> None:
    two.enter_next(*ABBA)
    later = begin_outing(two.book, two.track_id, two.car_ids[:1], 1, NOW + timedelta(days=1))
    listed = list_outings(two.book)
    assert [one.outing.id for one in listed] == [later.id, two.outing_id]
    assert (listed[1].track_name, listed[1].run_count) == ("Long shed", 4)
    assert listed[1].car_names == ("Sorrel", "Bramble")
    of_bramble = list_outings(two.book, car_id=two.car_ids[1])
    assert [one.outing.id for one in of_bramble] == [two.outing_id]
    assert list_outings(two.book, track_id=99) == ()


@on_both
def test_conditions_are_kept_and_changed(two: Clock) -> None:
    day = Conditions(21.5, 40.0, surface_cleaned=True, lubricant_note="graphite, two evenings ago")
    outing = begin_outing(
        two.book, two.track_id, two.car_ids, 2, NOW, conditions=day, matters_s=0.03, note="warm"
    )
    rng = np.random.default_rng(1)
    shown = show_outing(two.book, outing.id, rng).outing
    assert (shown.conditions, shown.matters_s, shown.note) == (day, 0.03, "warm")
    change_outing(
        two.book,
        outing.id,
        car_ids=two.car_ids[::-1],
        lanes=1,
        together=False,
        conditions=Conditions(),
        matters_s=None,
        note="",
    )
    changed = show_outing(two.book, outing.id, rng)
    assert changed.outing.conditions == Conditions()
    assert changed.next_turns[0].label == "Bramble"


@pytest.mark.parametrize(
    ("cars", "lanes", "more", "told"),
    [
        ([], 1, {}, "cars is 0 of them"),
        ([2, 2], 1, {}, "each car once"),
        ([2, 3], 0, {}, "lanes is 0"),
        ([2, 3], 21, {}, "lanes is 21"),
        ([2, 3], 1, {"matters_s": 0.0}, "matters_s is 0 s"),
        ([2, 3], 1, {"conditions": Conditions(humidity_percent=140.0)}, "humidity_percent is 140"),
        ([2, 3], 1, {"conditions": Conditions(temperature_c=900.0)}, "temperature_c is 900"),
        ([2, 3], 1, {"conditions": Conditions(lubricant_note="a\x00b")}, "lubricant_note"),
        ([2, 3], 1, {"note": "x" * 10_001}, "10001 characters long"),
    ],
)
def test_bad_outings_are_refused(
    two: Clock, cars: list[int], lanes: int, more: dict[str, object], told: str
) -> None:
    def act() -> None:
        begin_outing(two.book, two.track_id, cars, lanes, NOW, **more)  # type: ignore[arg-type]

    assert told in sentence(act)


@on_both
def test_removed_car_does_not_start(two: Clock) -> None:
    remove_thing(two.book, Kind.CAR, two.car_ids[0], NOW)
    told = sentence(lambda: begin_outing(two.book, two.track_id, two.car_ids, 1, NOW))
    assert "'Sorrel', which was removed" in told
