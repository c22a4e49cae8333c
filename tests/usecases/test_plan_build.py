"""A build is planned from what is entered, with sizes, depths and supplies."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from hillbench.building.step import Draw
from hillbench.errors import InvalidInput
from hillbench.records import ballast_plan_store
from hillbench.records.ballast_plan_store import BallastPlanRecord
from hillbench.usecases.begin_build import begin_build
from hillbench.usecases.build_entry import BuildEntry, BuildTerms, PieceEntry
from hillbench.usecases.choose_thread import choose_thread
from hillbench.usecases.plan_build import plan_build
from hillbench.usecases.thread_question import ThreadQuestion
from tests.usecases.builds import NOW, Bench, bench, entry_of


@pytest.fixture
def on(tmp_path: Path) -> Iterator[Bench]:
    with bench(tmp_path) as opened:
        yield opened


def test_depths_and_torque_are_those_of_the_thread_command(on: Bench) -> None:
    steps = {s.key: s for s in plan_build(on.book, on.car_id, entry_of(on)).steps}
    answer = choose_thread(
        ThreadQuestion(
            "2-56", screw_length_mm="6.35mm", base_thickness_mm="1.2mm", post_height_mm="8mm"
        )
    )
    assert answer.depths is not None
    assert steps["thread hole"].depth_mm == answer.depths.drill_mm
    assert steps["tap"].depth_mm == answer.depths.tap_mm
    assert steps["thread hole"].size == answer.drill
    assert f"{answer.safe_torque_n_mm:.0f} N mm" in steps["close"].text


def test_supplies_come_from_the_drawer(on: Bench) -> None:
    steps = {s.key: s for s in plan_build(on.book, on.car_id, entry_of(on)).steps}
    assert steps["fit 1"].draws == (Draw(on.piece_id, 3.0),)
    assert steps["close"].draws == (Draw(on.screw_id, 2.0),)
    assert steps["decals"].draws == (Draw(on.film_id, 1.0),)
    assert steps["graphite 2"].draws == (Draw(on.graphite_id, 0.01),)
    assert steps["fit 1"].changes[0].mass_g == 7.087


def test_a_screw_weighs_what_its_cylinders_do(on: Bench) -> None:
    """A thousand 2-56 × 1/4 in pan heads of steel weigh about 0.6 lb; from memory."""
    steps = {s.key: s for s in plan_build(on.book, on.car_id, entry_of(on)).steps}
    assert steps["close"].changes[0].mass_g == pytest.approx(0.6 * 453.59 / 1000.0, abs=0.04)


def test_pieces_of_the_chosen_ballast_plan_go_in_one_by_one(on: Bench) -> None:
    answer = {
        "placements": [
            {"number": 1, "name": "quarter ounce", "mass_g": 7.087},
            {"number": 2, "name": "brass bar", "mass_g": 3.2},
        ],
        "putty": {"mass_g": 0.41},
        "total_g": 56.9,
        "steps": [{"number": 1, "text": "Lay it 4 mm ahead of the rear axle."}],
    }
    kept = BallastPlanRecord(0, on.car_id, NOW, NOW, "low", "k", {"stock": []}, {}, answer)
    with on.book.write() as session:
        ballast_plan_store.add_ballast_plan(session, kept)
    entry = BuildEntry(use_ballast_plan=True)
    steps = {s.key: s for s in plan_build(on.book, on.car_id, entry).steps}
    assert steps["fit 1"].text == "Lay it 4 mm ahead of the rear axle."
    assert steps["fit 1"].draws == (Draw(on.piece_id, 1.0),)
    assert steps["fit 2"].draws == ()
    assert steps["putty"].change_g == 0.41
    assert "stop at 56.90 g" in steps["putty"].text


def test_a_ballast_plan_that_is_not_there_is_asked_for(on: Bench) -> None:
    with pytest.raises(InvalidInput, match="kept and chosen"):
        plan_build(on.book, on.car_id, BuildEntry(use_ballast_plan=True))


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"screw_length_mm": 12.0}, "post"),
        ({"drill": "#30"}, "drill"),
        ({"thread": "2-57"}, "2-56"),
        ({"screw_length_mm": None}, "screw_length_mm"),
        ({"base_thickness_mm": 0.0}, "base_thickness_mm"),
        ({"rivet_head_mm": None}, "rivet_head_mm is empty"),
        ({"rivets": 40}, "rivets"),
        ({"material": "cheese"}, "material"),
        ({"trim_g": -1.0}, "trim_g"),
    ],
)
def test_what_cannot_be_is_one_sentence_each(on: Bench, changed: dict, says: str) -> None:  # type: ignore[type-arg]
    with pytest.raises(InvalidInput) as refused:
        plan_build(on.book, on.car_id, entry_of(on, **changed))
    assert says in str(refused.value)


def test_several_wrong_entries_are_told_together(on: Bench) -> None:
    with pytest.raises(InvalidInput) as refused:
        plan_build(on.book, on.car_id, entry_of(on, rivet_head_mm=None, drill="#30"))
    assert len(refused.value.problems) >= 2


def test_a_piece_that_is_none_is_refused(on: Bench) -> None:
    with pytest.raises(InvalidInput, match="mass is not known"):
        plan_build(on.book, on.car_id, BuildEntry(pieces=(PieceEntry(on.screw_id, 1),)))
    with pytest.raises(InvalidInput, match="which is a ballast piece"):
        plan_build(on.book, on.car_id, entry_of(on, screw_item_id=on.piece_id))


def test_what_was_entered_comes_back(on: Bench) -> None:
    entry = entry_of(on)
    terms = BuildTerms("Second round")
    build = begin_build(on.book, on.car_id, entry, terms, NOW)
    assert BuildEntry.from_plain(build.plan) == entry


@pytest.mark.parametrize(
    ("terms", "says"),
    [
        ({"name": " "}, "name is empty"),
        ({"limit_g": 0.0}, "limit_g"),
        ({"meet_at": NOW}, "a moment to come"),
        ({"bench_from_minute": 1300, "bench_to_minute": 1200}, "a later one"),
    ],
)
def test_terms_that_cannot_be_are_refused(on: Bench, terms: dict, says: str) -> None:  # type: ignore[type-arg]
    with pytest.raises(InvalidInput) as refused:
        begin_build(on.book, on.car_id, BuildEntry(), BuildTerms(**{"name": "x", **terms}), NOW)
    assert says in str(refused.value)
