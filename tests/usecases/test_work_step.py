"""Working through a build: check marks, waits, the drawer, and what a power cut takes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from hillbench.building.step import MassChange, Step, StepKind
from hillbench.errors import InvalidInput
from hillbench.records import drawer_store, weighing_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildState
from hillbench.records.entities import Kind
from hillbench.usecases.begin_build import begin_from_template
from hillbench.usecases.build_entry import BuildTerms
from hillbench.usecases.build_order import add_own_step, edit_step, move_step, remove_step
from hillbench.usecases.build_shown import StepState
from hillbench.usecases.cost_of_car import cost_of_car
from hillbench.usecases.end_build import (
    abandon_build,
    drawn_items,
    finish_build,
    resume_build,
    save_template,
)
from hillbench.usecases.note_step import keep_draft, keep_note, minutes_words
from hillbench.usecases.remove_thing import restore_thing
from hillbench.usecases.show_build import list_builds, show_build
from hillbench.usecases.watch_clock import watch_clock
from hillbench.usecases.work_step import StepEntry, check_off, take_back, turn_to
from tests.usecases.builds import NOW, Bench, begun, bench


@pytest.fixture
def on(tmp_path: Path) -> Iterator[Bench]:
    with bench(tmp_path / "bench") as opened:
        yield opened


def do(on: Bench, build_id: int, *keys: str, **entry: object) -> None:
    for key in keys:
        check_off(on.book, on.step(build_id, key).id, StepEntry(**entry), NOW)  # type: ignore[arg-type]


def anyway(on: Bench, build_id: int, *keys: str) -> None:
    do(on, build_id, *keys, anyway=True)


def test_a_step_checked_off_draws_from_the_drawer_and_leads_to_the_next(on: Bench) -> None:
    build_id = begun(on)
    assert show_build(on.book, build_id, NOW).current.step.key == "choose"  # type: ignore[union-attr]
    do(on, build_id, "choose")
    shown = show_build(on.book, build_id, NOW)
    assert shown.current is not None
    assert shown.current.step.key == "weigh bare"
    anyway(on, build_id, "fit 1")
    assert on.stock(on.piece_id) == 2
    do(on, build_id, "fit 1")
    assert on.stock(on.piece_id) == 2, "checked off twice draws once"
    take_back(on.book, on.step(build_id, "fit 1").id, NOW)
    assert on.stock(on.piece_id) == 5


def test_a_step_that_waits_says_for_what(on: Bench) -> None:
    build_id = begun(on)
    with pytest.raises(InvalidInput) as refused:
        do(on, build_id, "tap")
    assert "'Tap the threads'" in str(refused.value)
    assert "after 'Drill the posts for 2-56'" in str(refused.value)


def test_too_little_in_the_drawer_refuses_and_keeps_nothing(on: Bench) -> None:
    build_id = begun(on)
    with on.book.write() as session:
        drawer_store.draw(session, on.piece_id, 4, NOW)
    shown = show_build(on.book, build_id, NOW).step_named("fit 1")
    assert shown is not None
    assert shown.supplies[0].short
    with pytest.raises(InvalidInput, match="stock is 1 piece of quarter ounce"):
        anyway(on, build_id, "fit 1")
    assert on.step(build_id, "fit 1").done_at is None
    do(on, build_id, "fit 1", anyway=True, take_from_drawer=False)
    assert on.stock(on.piece_id) == 1


def test_a_wait_runs_by_the_clock_and_names_what_can_be_done_meanwhile(on: Bench) -> None:
    build_id = begun(on)
    do(on, build_id, "choose", "weigh bare", "pilot", "head", "lift", "thread hole", "tap")
    do(on, build_id, "deburr", "decals")
    shown = show_build(on.book, build_id, NOW + timedelta(hours=11))
    assert [one.step.key for one in shown.resting] == ["decals"]
    assert {one.step.key for one in (shown.current, *shown.meanwhile) if one} == {"trim"}
    do(on, build_id, "trim", "weigh open", "fit 1")
    with pytest.raises(InvalidInput, match="in 12 h"):
        do(on, build_id, "rub check")
    over = show_build(on.book, build_id, NOW + timedelta(hours=12))
    assert over.resting == ()
    assert over.step_named("rub check").state is StepState.READY  # type: ignore[union-attr]


def test_a_wait_survives_a_restart_of_the_program(on: Bench) -> None:
    build_id = begun(on)
    anyway(on, build_id, "decals")
    on.book.close()
    with BenchBook.open(on.book.folder) as again:
        shown = show_build(again, build_id, NOW + timedelta(hours=1))
        assert shown.resting[0].rest_ends_at == NOW + timedelta(hours=12)


def test_a_clock_set_back_during_a_wait_is_noticed_and_told(on: Bench) -> None:
    build_id = begun(on)
    anyway(on, build_id, "decals")
    assert watch_clock(on.book, build_id, NOW + timedelta(hours=5)) == 0.0
    back = NOW - timedelta(hours=3)
    assert watch_clock(on.book, build_id, back) == 8 * 3600.0
    record = on.step(build_id, "decals", back)
    assert record.wait_ends_at == back + timedelta(hours=7), "five hours had been waited"
    assert "set back by at least 8.0 h" in record.note
    assert watch_clock(on.book, build_id, back + timedelta(minutes=1)) == 0.0, "told once"


def test_what_is_half_typed_outlives_a_power_cut(on: Bench) -> None:
    build_id = begun(on)
    do(on, build_id, "choose")
    step = on.step(build_id, "weigh bare")
    keep_draft(on.book, step.id, {"note": "scale by the", "readings_g": "37.2", "evil": "x"})
    on.book.close()  # nothing else was told to end
    with BenchBook.open(on.book.folder) as again:
        shown = show_build(again, build_id, NOW)
        assert shown.current is not None
        assert shown.current.step.key == "weigh bare"
        assert shown.current.record.draft == {"note": "scale by the", "readings_g": "37.2"}


def test_the_bench_comes_back_to_the_step_that_was_taken_up(on: Bench) -> None:
    build_id = begun(on)
    turn_to(on.book, build_id, "decals", NOW)
    assert show_build(on.book, build_id, NOW).current.step.key == "decals"  # type: ignore[union-attr]


def test_a_weighing_of_the_whole_car_is_kept_with_the_car(on: Bench) -> None:
    build_id = begun(on)
    do(on, build_id, "choose")
    weigh = on.step(build_id, "weigh bare")
    entry = StepEntry("", (37.2, 37.22), 0.01, whole_car=True)
    kept = check_off(on.book, weigh.id, entry, NOW)
    with on.book.read() as session:
        latest = weighing_store.list_weighings(session, on.car_id)[0]
    assert latest.id == kept.weighing_id
    assert latest.readings_g == (37.2, 37.22)
    with pytest.raises(InvalidInput):
        check_off(on.book, weigh.id, replace(entry, readings_g=(0.0,)), NOW)


def test_a_missing_piece_is_found_by_the_scale(on: Bench) -> None:
    build_id = begun(on)
    for key, readings in (("weigh bare", (37.2,)), ("weigh open", (35.5,))):
        entry = StepEntry("", readings, 0.01, anyway=True)
        check_off(on.book, on.step(build_id, key).id, entry, NOW)
    anyway(on, build_id, "fit 1", "close", "graphite 1", "graphite 2")
    shown = show_build(on.book, build_id, NOW)
    expected = shown.ledger.line("graphite 2").expected
    assert expected is not None
    entry = StepEntry("", (round(expected.value - 7.087, 2),), 0.01, anyway=True)
    check_off(on.book, on.step(build_id, "weigh").id, entry, NOW)
    worst = show_build(on.book, build_id, NOW).ledger.worst()
    assert worst is not None
    assert worst.causes[0].text == "1 of 3 × quarter ounce is missing"


def test_steps_move_and_own_steps_come_in_where_they_may(on: Bench) -> None:
    build_id = begun(on)
    own = Step("", StepKind.OWN, "Polish the axles", minutes=20.0, waits_for=("lift",))
    added = add_own_step(on.book, build_id, own, NOW, before_id=on.step(build_id, "trim").id)
    keys = [one.step.key for one in show_build(on.book, build_id, NOW).steps]
    assert keys.index(added.step.key) == keys.index("trim") - 1
    with pytest.raises(InvalidInput, match="after 'Lift the base off'"):
        add_own_step(on.book, build_id, own, NOW, before_id=on.step(build_id, "pilot").id)
    with pytest.raises(InvalidInput, match="which it waits for"):
        move_step(on.book, on.step(build_id, "head").id, -1, NOW)
    move_step(on.book, on.step(build_id, "trim").id, -1, NOW)
    keys = [one.step.key for one in show_build(on.book, build_id, NOW).steps]
    assert keys.index(added.step.key) == keys.index("trim") + 1


def test_a_step_others_wait_for_is_kept_or_they_are_reattached(on: Bench) -> None:
    build_id = begun(on)
    tap = on.step(build_id, "tap")
    with pytest.raises(InvalidInput) as refused:
        remove_step(on.book, tap.id, NOW)
    assert "'Deburr and clean out'" in str(refused.value)
    remove_step(on.book, tap.id, NOW, reattach=True)
    assert on.step(build_id, "weigh open").step.waits_for == ("deburr", "trim", "thread hole")
    restore_thing(on.book, Kind.BUILD_STEP, tap.id)
    assert on.step(build_id, "tap").id == tap.id
    do(on, build_id, "choose")
    with pytest.raises(InvalidInput, match="which is done"):
        remove_step(on.book, on.step(build_id, "choose").id, NOW, reattach=True)


def test_an_edited_step_keeps_what_was_done_at_it(on: Bench) -> None:
    build_id = begun(on)
    trim = on.step(build_id, "trim")
    keep_note(on.book, trim.id, "seats only", NOW)
    changes = (MassChange("trimmed from the seats", -0.8, 0.1),)
    edit_step(on.book, trim.id, replace(trim.step, title="Trim the seats", changes=changes), NOW)
    again = on.step(build_id, "trim")
    assert (again.step.title, again.note, again.step.change_g) == (
        "Trim the seats", "seats only", -0.8,
    )  # fmt: skip
    with pytest.raises(InvalidInput, match="minutes"):
        edit_step(on.book, trim.id, replace(trim.step, minutes=-1.0), NOW)
    with pytest.raises(InvalidInput, match="wait for each other"):
        edit_step(on.book, on.step(build_id, "lift").id,
                  replace(on.step(build_id, "lift").step, waits_for=("trim",)), NOW)  # fmt: skip


def test_an_abandoned_build_gives_back_what_was_not_used_up(on: Bench) -> None:
    build_id = begun(on)
    anyway(on, build_id, "fit 1", "close", "decals", "graphite 1")
    with on.book.read() as session:
        held = {one.item.id: (one.amount, one.comes_back) for one in drawn_items(session, build_id)}
    assert held == {
        on.piece_id: (3, True), on.screw_id: (2, True), on.film_id: (1, False),
        on.graphite_id: (0.01, False),
    }  # fmt: skip
    assert cost_of_car(on.book, on.car_id).total == Decimal("2.32")  # 1.05 + 0.16 + 1.10 + 0.01
    abandon_build(on.book, build_id, NOW)
    assert (on.stock(on.piece_id), on.stock(on.screw_id)) == (5, 10)
    assert (on.stock(on.film_id), on.stock(on.graphite_id)) == (1, 2.99)
    assert cost_of_car(on.book, on.car_id).total == Decimal("1.11")
    with pytest.raises(InvalidInput, match="abandoned already"):
        abandon_build(on.book, build_id, NOW)
    with pytest.raises(InvalidInput, match="take it up again"):
        anyway(on, build_id, "choose")
    assert resume_build(on.book, build_id, NOW).state is BuildState.IN_HAND


def test_prices_are_those_of_the_day_it_was_drawn(on: Bench) -> None:
    build_id = begun(on)
    anyway(on, build_id, "fit 1")
    with on.book.write() as session:
        drawer_store.buy(session, on.piece_id, 1, NOW, unit_price=Decimal("9.99"))
    assert cost_of_car(on.book, on.car_id).total == Decimal("1.05")


def test_a_build_with_steps_left_is_not_finished_by_mistake(on: Bench) -> None:
    build_id = begun(on)
    with pytest.raises(InvalidInput, match=r"19 steps left.*and 16 more"):
        finish_build(on.book, build_id, NOW)
    assert finish_build(on.book, build_id, NOW, anyway=True).state is BuildState.FINISHED


def test_a_template_begins_another_build(on: Bench) -> None:
    build_id = begun(on)
    kept = save_template(on.book, build_id, "Usual round", NOW)
    with pytest.raises(InvalidInput, match="template"):
        save_template(on.book, build_id, "usual ROUND", NOW)
    again = begin_from_template(on.book, on.car_id, kept.id, BuildTerms("Third round"), NOW)
    first, second = (show_build(on.book, one, NOW) for one in (build_id, again.id))
    assert [one.step for one in second.steps] == [one.step for one in first.steps]
    assert second.done_count == 0
    assert {one.build.name for one in list_builds(on.book)} == {"Second round", "Third round"}


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0.2, "1 min"), (59, "59 min"), (60, "1 h"), (125, "2 h 05 min"), (1440, "1 day"),
     (3000, "2 days 2 h")],
)  # fmt: skip
def test_minutes_in_words(minutes: float, words: str) -> None:
    assert minutes_words(minutes) == words
