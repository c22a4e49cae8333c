from __future__ import annotations

import pytest
from shapely import affinity

from hillbench.decals.colour import Colour, parse_colour
from hillbench.decals.draw_item import DARK, draw_item
from hillbench.decals.item import Drop, Edge, Ground, Item, Place, check_item
from hillbench.decals.lettering import Lettering, set_text
from hillbench.decals.prints import list_pieces
from hillbench.decals.typeface import FACES, open_font
from hillbench.errors import InvalidInput
from tests.decals.pieces import BONNET, DOOR, PANELS, RIGHT


def first_sentence(wrong: pytest.ExceptionInfo[InvalidInput]) -> str:
    return wrong.value.problems[0].sentence()


@pytest.mark.parametrize(
    ("text", "code"),
    [("#C8102E", "#c8102e"), ("#abc", "#aabbcc"), ("200 16 46", "#c8102e"), (" white ", "#ffffff")],
)
def test_colours_as_typed(text: str, code: str) -> None:
    assert parse_colour(text).code == code


@pytest.mark.parametrize("text", ["300 0 0", "-1 2 3", "rgb(256,0,0)"])
def test_colour_out_of_gamut_is_told(text: str) -> None:
    with pytest.raises(InvalidInput, match="out of gamut"):
        parse_colour(text)


@pytest.mark.parametrize("text", ["", "puce-ish", "#12", "#gggggg", "1" * 200])
def test_no_colour_is_told(text: str) -> None:
    with pytest.raises(InvalidInput, match="allowed is a colour such as"):
        parse_colour(text)


@pytest.mark.parametrize("face", FACES)
def test_every_face_has_the_letters_of_latin_alphabets(face: str) -> None:
    for weight in FACES[face].weights:
        font = open_font(face, weight)
        assert all(font.has(letter) for letter in "0123456789AZaz &-.'ÄÖÜßéñøåł")
        shape = set_text(Lettering("64", face, weight, 10.0))
        assert shape.is_valid
        assert shape.bounds[0] == pytest.approx(0.0, abs=1e-9)


def test_heights_are_of_the_digit_or_the_capital() -> None:
    for text in ("1", "H"):
        _, top, _, bottom = set_text(Lettering(text, "narrow", "bold", 7.0)).bounds
        assert bottom - top == pytest.approx(7.0, abs=0.01)


def test_slant_is_a_shear_by_its_angle() -> None:
    plain = set_text(Lettering("R4", height_mm=10.0))
    leaning = set_text(Lettering("R4", height_mm=10.0, slant_deg=20.0))
    sheared = affinity.skew(plain, xs=-20.0, origin=(0.0, 0.0))  # y runs down
    sheared = affinity.translate(sheared, -sheared.bounds[0])
    assert leaning.symmetric_difference(sheared).area < 1e-6
    assert leaning.area == pytest.approx(plain.area)


def test_kerning_and_spacing_move_letters() -> None:
    tight = set_text(Lettering("AV", height_mm=10.0)).bounds[2]
    wide = set_text(Lettering("AV", height_mm=10.0, spacing_mm=1.0)).bounds[2]
    assert wide - tight == pytest.approx(1.0)
    assert open_font("narrow", "bold").kern("A", "V") < 0.0


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"text": "日本"}, "U+65E5, U+672C, which the face narrow does not have"),
        ({"text": ""}, "items[0].text is ''"),
        ({"text": "7" * 41}, "41 letters long"),
        ({"face": "gothic"}, "items[0].face is 'gothic'; allowed is one of: narrow, square"),
        ({"face": "round", "weight": "black"}, "for round one of: medium, bold"),
        ({"height_mm": 0.0}, "items[0].height_mm is 0 mm"),
        ({"slant_deg": 60.0}, "items[0].slant_deg is 60 °"),
        ({"colour": "300 0 0"}, "out of gamut"),
        ({"count": 0}, "items[0].count is 0"),
        ({"spares": -1}, "items[0].spares is -1"),
        ({"art": "a.svg"}, "both text and art"),
        ({"text": None}, "neither text nor art"),
        ({"outline": Edge(0.0)}, "outline.width_mm is 0 mm"),
        ({"ground": Ground("star")}, "ground.shape is 'star'"),
        ({"sizes_mm": (900.0,)}, "sizes_mm[0] is 900 mm"),
    ],
)
def test_bad_items(change: dict[str, object], sentence: str) -> None:
    item = Item(**({"name": "number", "text": "64"} | change))  # type: ignore[arg-type]
    told = [problem.sentence() for problem in check_item(item, "items[0]")]
    assert any(sentence in one for one in told), told


def test_layers_from_below_to_above() -> None:
    item = Item(
        "n", "8", outline=Edge(0.5, "#ff0000"), drop=Drop(0.4, 0.4, "#0000ff"), ground=Ground()
    )
    art = draw_item(item, 6.0, DARK, {})
    assert [fill.part for fill in art.fills] == ["ground", "drop", "outline", "letters"]
    ground, drop, outline, letters = (fill.shape for fill in art.fills)
    assert outline.covers(letters)
    assert ground.covers(outline.union(drop))
    assert art.bounds_mm()[:2] == pytest.approx((0.0, 0.0), abs=1e-9)
    # The roundel is a circle about all that stands on it, with its margin.
    left, top, right, bottom = ground.bounds
    assert right - left == pytest.approx(bottom - top, rel=1e-3)
    assert ground.area == pytest.approx(3.14159265 * ((right - left) / 2) ** 2, rel=2e-3)
    assert outline.union(drop).distance(ground.exterior) == pytest.approx(0.8, abs=0.02)


def test_square_ground_has_round_corners() -> None:
    art = draw_item(Item("n", "8", ground=Ground("square", "#ffffff", 1.0)), 6.0, DARK, {})
    ground = art.fills[0].shape
    left, top, right, bottom = ground.bounds
    missing = (right - left) * (bottom - top) - ground.area
    assert missing == pytest.approx((4.0 - 3.14159265) * 1.0**2, rel=0.02)


def test_mirrored_pair_leans_the_other_way_and_art_is_flipped() -> None:
    item = Item("n", "1", slant_deg=15.0, drop=Drop(0.5, 0.3))
    left, right = (draw_item(item, 6.0, DARK, {}, mirrored=mirrored) for mirrored in (False, True))
    assert left.fills[0].shape.centroid.x > left.fills[1].shape.centroid.x
    assert right.fills[0].shape.centroid.x < right.fills[1].shape.centroid.x
    flag = draw_item(Item("flag", "7"), 6.0, DARK, {})
    art = Item("art", art="flag")
    flipped = draw_item(art, 6.0, DARK, {"flag": flag}, mirrored=True).fills[0].shape
    plain = draw_item(art, 6.0, DARK, {"flag": flag}).fills[0].shape
    width = plain.bounds[2]
    assert flipped.centroid.x == pytest.approx(width - plain.centroid.x, abs=1e-9)


def black(_item: Item, _panel: object) -> Colour:
    return DARK


def test_one_piece_for_each_place_and_spares_of_each_kind() -> None:
    places = (Place("left door", 6, 6), Place("right door", 6, 6), Place("bonnet", 9, 9, 0, 9.0))
    item = Item("n", "64", mirrored_pair=True, places=places, spares=2)
    panels = {panel.name: panel for panel in PANELS}
    found = list_pieces([item], panels, {}, black, gap_mm=0.5, radius_mm=0.5)
    assert [one.mirrored for one in found[:3]] == [False, True, False]
    assert [one.height_mm for one in found[:3]] == [6.0, 6.0, 9.0]
    assert len(found) == 3 + 3 * 2  # plain, mirrored and the larger one, two spares each


def test_sizes_and_counts_without_places() -> None:
    item = Item("n", "64", sizes_mm=(4.0, 8.0), count=3, mirrored_pair=True)
    found = list_pieces([item], {}, {}, black, gap_mm=0.5, radius_mm=0.5)
    assert len(found) == 3 * 3 * 2
    assert {one.height_mm for one in found} == {4.0, 6.0, 8.0}


def test_unknown_panel_or_art_and_far_too_many() -> None:
    panels = {panel.name: panel for panel in (DOOR, RIGHT, BONNET)}
    lost = Item("n", "64", places=(Place("wing", 1, 1),))
    with pytest.raises(InvalidInput, match="allowed is one of: left door, right door, bonnet"):
        list_pieces([lost], panels, {}, black, gap_mm=0.5, radius_mm=0.5)
    with pytest.raises(InvalidInput, match="none, as there is no art yet"):
        list_pieces([Item("a", art="x")], panels, {}, black, gap_mm=0.5, radius_mm=0.5)
    many = [Item(f"n{number}", "1", count=500) for number in range(3)]
    with pytest.raises(InvalidInput, match="1500 pieces in all"):
        list_pieces(many, panels, {}, black, gap_mm=0.5, radius_mm=0.5)
