"""Liveries kept in a bench book: saved, carried, exported, removed, put into builds."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from hillbench.building.caution import Caution
from hillbench.building.step import Draw, StepKind
from hillbench.decals.artwork import Artwork
from hillbench.decals.film import Film
from hillbench.decals.item import Item, Place
from hillbench.decals.panel import Panel
from hillbench.errors import InvalidInput, NotFound
from hillbench.records import build_store, decal_store, drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_checks import check_bench
from hillbench.records.bench_file import BenchFile
from hillbench.records.bench_rows import add_rows, bench_from_rows
from hillbench.records.drawer_entities import ItemEntry, ItemKind, StockUnit
from hillbench.records.entities import Kind
from hillbench.usecases.begin_build import begin_build
from hillbench.usecases.build_entry import BuildEntry, BuildTerms
from hillbench.usecases.decal_documents import art_document, read_art
from hillbench.usecases.dress_in_build import dress_in_build
from hillbench.usecases.keep_art import keep_art
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.plan_decals import steps_of
from hillbench.usecases.read_artwork import read_artwork
from hillbench.usecases.remove_thing import remove_thing, restore_thing
from hillbench.usecases.save_car import save_car
from hillbench.usecases.save_casting import save_casting
from hillbench.usecases.save_livery import (
    add_livery,
    change_livery,
    drop_item,
    keep_item,
    move_place,
)
from hillbench.usecases.save_panel import save_panel
from hillbench.usecases.show_build import show_build
from hillbench.usecases.show_livery import plan_livery, show_livery
from hillbench.usecases.suggest_decals import carry_livery, preview_carry, suggest
from tests.decals.pieces import PANELS

NOW = datetime(2026, 3, 14, 18, 30, tzinfo=UTC)
STAR = (
    b'<svg xmlns="http://www.w3.org/2000/svg"><path d="M5 0l2 4 3 1-3 1-2 4-2-4-3-1 3-1z"/></svg>'
)
PIXELS = {"png": "R0lGODlh", "size_px": [3, 3], "box_mm": [0, 0, 1, 1], "mean": "#000000"}
NUMBER = Item("number", "27", height_mm=5.0, places=(Place("left door", 6.0, 6.5),))


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BenchBook]:
    with BenchBook.open(tmp_path / "bench") as opened:
        save_casting(opened, "Larch Wagon", "", NOW)
        save_casting(opened, "Marl Coupé", "", NOW)
        for panel in PANELS:
            save_panel(opened, 1, panel, NOW)
        yield opened


@pytest.fixture
def livery(book: BenchBook) -> int:
    return add_livery(book, 1, "Larch 27", NOW, (NUMBER,)).id


def test_what_is_kept_comes_back_as_it_was(book: BenchBook, livery: int) -> None:
    star = Item("star", art="Star", height_mm=7.0, places=(Place("bonnet", 11.0, 9.0, 45.0),))
    keep_art(book, "Star", "x.svg", STAR, NOW)
    keep_item(book, livery, star, NOW)
    keep_item(book, livery, dataclasses.replace(NUMBER, slant_deg=7.0), NOW, number=0)
    move_place(book, livery, 1, 0, 10.0, 8.5, NOW)
    view = show_livery(book, livery)
    assert view.question.panels == PANELS
    assert view.question.items[0].slant_deg == 7.0
    assert view.question.items[1].places[0] == Place("bonnet", 10.0, 8.5, 45.0)
    assert [one.panel.name for one in view.judged if one.panel] == ["left door", "bonnet"]
    assert all(one.fit is not None and one.fit.fits for one in view.judged)
    drop_item(book, livery, 0, NOW)
    assert [item.name for item in show_livery(book, livery).question.items] == ["star"]
    assert plan_livery(show_livery(book, livery)).nesting.sheets == 1


def test_art_is_kept_as_shapes_alone() -> None:
    art = read_artwork(STAR)
    again = read_art(art_document(art))
    assert isinstance(again, Artwork)
    assert again.fills[0].shape.symmetric_difference(art.fills[0].shape).area < 1e-3
    assert "svg" not in str(art_document(art))


@pytest.mark.parametrize(
    ("item", "sentence"),
    [
        (dataclasses.replace(NUMBER, name="other", places=(Place("wing", 1, 1),)), "a panel of"),
        (Item("art", art="Moon"), "art that is kept"),
        (NUMBER, "a name that no other item has"),
        (dataclasses.replace(NUMBER, name=" "), "name is empty"),
        (dataclasses.replace(NUMBER, name="x", height_mm=0.0), "height_mm is 0 mm"),
    ],
)
def test_items_that_will_not_do(book: BenchBook, livery: int, item: Item, sentence: str) -> None:
    with pytest.raises(InvalidInput, match=sentence):
        keep_item(book, livery, item, NOW)
    assert show_livery(book, livery).question.items == (NUMBER,)
    with pytest.raises(NotFound):
        drop_item(book, livery, 5, NOW)


def test_panels_have_names_of_their_own(book: BenchBook) -> None:
    with pytest.raises(InvalidInput, match="no other panel of this casting"):
        save_panel(book, 1, Panel("Left DOOR", "other", 5.0, 5.0), NOW)
    with pytest.raises(InvalidInput, match="width_mm is 0 mm"):
        save_panel(book, 1, Panel("flap", "other", 0.0, 5.0), NOW)
    with pytest.raises(NotFound):
        save_panel(book, 9, Panel("flap", "other", 5.0, 5.0), NOW)


def test_a_panel_that_is_gone_takes_its_places_along_and_brings_them_back(
    book: BenchBook, livery: int
) -> None:
    remove_thing(book, Kind.DECAL_PANEL, 1, NOW)
    view = show_livery(book, livery)
    assert view.lost == ("number: its place on left door is left out, as that panel is gone.",)
    assert not view.problems
    assert [thing.title for thing in list_removed(book)] == ["Larch Wagon: left door"]
    restore_thing(book, Kind.DECAL_PANEL, 1)
    assert show_livery(book, livery).lost == ()


def test_art_that_is_gone_is_told(book: BenchBook, livery: int) -> None:
    art = keep_art(book, "", "moon.svg", STAR, NOW)
    assert art.name == "moon"
    keep_item(book, livery, Item("m", art="moon"), NOW)
    remove_thing(book, Kind.DECAL_ART, art.id, NOW)
    assert "art is 'moon'" in show_livery(book, livery).problems[0]


def test_everything_is_in_the_export(book: BenchBook, livery: int, tmp_path: Path) -> None:
    keep_art(book, "Star", "x.svg", STAR, NOW)
    remove_thing(book, Kind.LIVERY, livery, NOW)
    with book.read() as session:
        written = bench_from_rows(session, "test", NOW).model_dump_json()
    read = BenchFile.model_validate_json(written)
    with BenchBook.open(tmp_path / "other") as other:
        with other.write() as session:
            add_rows(session, read)
        restore_thing(other, Kind.LIVERY, livery)
        view = show_livery(other, livery)
        assert view.question.panels == PANELS
        assert view.question.items == (NUMBER,)
        assert list(view.arts) == ["Star"]


def test_a_livery_is_carried_with_its_changes_in_the_note(book: BenchBook, livery: int) -> None:
    view = show_livery(book, livery)
    with pytest.raises(InvalidInput, match="measure its panels first"):
        preview_carry(book, view, 2)
    save_panel(book, 2, Panel("door", "left door", 12.0, 7.0), NOW)
    kept = carry_livery(book, view, 2, "Marl 27", NOW)
    assert "number on the door: 5 mm became 2.6 mm, smaller." in kept.note
    assert show_livery(book, kept.id).judged[0].fit is not None
    with pytest.raises(InvalidInput, match="a name that no other livery has"):
        carry_livery(book, view, 2, "marl 27", NOW)


def test_habit_places_a_number_that_then_fits(book: BenchBook, livery: int) -> None:
    view = show_livery(book, livery)
    item = Item("habit", "27", height_mm=6.0)
    found = suggest(view, item)
    places = tuple(one.place for one in found)
    keep_item(book, livery, dataclasses.replace(item, places=places), NOW)
    judged = [one for one in show_livery(book, livery).judged if one.piece.item.name == "habit"]
    assert len(judged) == 3
    assert all(one.fit is not None and one.fit.fits for one in judged)
    with pytest.raises(InvalidInput, match="place it by hand"):
        suggest(
            dataclasses.replace(view, question=dataclasses.replace(view.question, panels=())), item
        )


def test_the_steps_go_into_a_build_with_their_waits(book: BenchBook, livery: int) -> None:
    car = save_car(book, "Larch Wagon", "Blue", "", NOW)
    details = {"film": "clear"}
    with book.write() as session:
        entry = ItemEntry(
            *(ItemKind.FILM, "Clear film", "", StockUnit.SHEET, None, "", None, details)
        )
        film = drawer_store.add_item(session, entry, NOW).id
        drawer_store.buy(session, film, 3, NOW)
    plan = BuildEntry(decals=4, film_item_id=film)
    build = begin_build(book, car.id, plan, BuildTerms("Spring"), NOW)
    with book.read() as session:
        generic = [
            one
            for one in build_store.list_steps(session, build.id)
            if one.step.kind is StepKind.DECAL
        ]
    view = show_livery(book, livery)
    steps = steps_of(view.question, view.judged)
    dress_in_build(book, build.id, steps, NOW)
    with book.read() as session:
        kept = build_store.list_steps(session, build.id)
    ours = [one for one in kept if one.step.kind is StepKind.DECAL]
    assert [one.step.title for one in ours] == [step.title for step in steps]
    assert [one.step.wait_minutes for one in ours] == [step.wait_min for step in steps]
    for before, after in itertools.pairwise(ours):
        assert before.step.key in after.step.waits_for
    cut = next(one for one in ours if one.step.title == "Cut out")
    assert cut.step.cautions == (Caution.BLADE,)
    closing = [one for one in kept if one.step.kind is StepKind.CLOSE]
    assert all(ours[-1].step.key in one.step.waits_for for one in closing)
    # The film that the build's own step would have drawn is drawn when decals are applied.
    first = next(one for one in ours if one.step.title.startswith("Apply to the"))
    assert first.step.draws == (Draw(film, 1.0),)
    assert first.step.change_g == pytest.approx(sum(one.step.change_g for one in generic))
    assert first.step.change_g > 0.0
    # Once more: the same steps, not twice as many, and the film only once.
    dress_in_build(book, build.id, steps, NOW + timedelta(minutes=1))
    shown = show_build(book, build.id, NOW + timedelta(minutes=2))
    again = [one for one in shown.steps if one.record.step.kind is StepKind.DECAL]
    assert len(again) == len(steps)
    assert sum(len(one.record.step.draws) for one in again) == 1
    with pytest.raises(InvalidInput, match="nothing to apply"):
        dress_in_build(book, build.id, (), NOW)


def test_settings_are_kept_and_checked(book: BenchBook, livery: int) -> None:
    view = show_livery(book, livery)
    white = dataclasses.replace(view.question, film=str(Film.WHITE), title="Larch 28")
    change_livery(book, view, white, NOW)
    with book.read() as session:
        record = decal_store.find_livery(session, livery)
    assert (record.name, record.scheme["film"]) == ("Larch 28", "white")
    assert "panels" not in record.scheme


@pytest.mark.parametrize(
    ("part", "field", "value", "sentence"),
    [
        (
            "decal_panels",
            "panel",
            {"name": "x", "role": "roof", "width_mm": 0, "height_mm": 2},
            "0 mm",
        ),
        ("decal_panels", "panel", {"role": 7}, "decal_panels[0].panel.name is of another form"),
        ("liveries", "scheme", {"items": [{"name": "x", "text": "1", "height_mm": 0}]}, "0 mm"),
        ("liveries", "scheme", {"items": [{"text": []}]}, "of another form"),
        (
            "decal_art",
            "content",
            {"fills": [{"colour": "red", "part": "art", "polygons": []}]},
            "form",
        ),
        ("decal_art", "content", {"fills": [], "pixels": PIXELS}, "another picture"),
    ],
)
def test_an_import_is_held_to_the_same_rules(
    book: BenchBook, livery: int, part: str, field: str, value: object, sentence: str
) -> None:
    keep_art(book, "Star", "x.svg", STAR, NOW)
    with book.read() as session:
        bench = bench_from_rows(session, "test", NOW)
    assert list(check_bench(bench)) == []
    setattr(getattr(bench, part)[0], field, value)
    told = [problem.sentence() for problem in check_bench(bench)]
    assert any(sentence in one for one in told), told
    assert livery
