"""Panels, places, how a piece shows, applying, and other castings."""

from __future__ import annotations

import dataclasses

import pytest
from shapely import box
from shapely.geometry.base import BaseGeometry

from hillbench.decals.appearance import Stock, advise, choose_ink, judge, thin_stroke_mm
from hillbench.decals.apply_plan import OUTGAS_LEAST_H, Application, Hazard, apply_steps
from hillbench.decals.artwork import Fill
from hillbench.decals.colour import Colour, contrast_ratio, parse_colour
from hillbench.decals.cut_line import cut_line
from hillbench.decals.draw_item import DARK, LIGHT, draw_item
from hillbench.decals.film import Film
from hillbench.decals.habit import suggest_places
from hillbench.decals.item import Edge, Ground, Item, Place
from hillbench.decals.legibility import Viewing, farthest_mm, readable_sizes
from hillbench.decals.livery import carry
from hillbench.decals.panel import KeepOut, Panel, check_panel, room_of, scaled_outline
from hillbench.decals.placing import Fit, check_fit
from hillbench.errors import InvalidInput
from tests.decals.pieces import BONNET, DOOR, GLASS, PANELS, RED, RIGHT

CLEAR, WHITE, UNDER = Stock(), Stock(Film.WHITE), Stock(Film.CLEAR, white_below=True)
BY_EYE = readable_sizes(Viewing())


@pytest.mark.parametrize(
    ("panel", "sentence"),
    [
        (Panel("x", "wing", 3, 4), "p.role is 'wing'; allowed is one of: bonnet"),
        (Panel("x", "roof", 0, 4), "p.width_mm is 0 mm; allowed is 0.5 to 200 mm"),
        (Panel("x", "roof"), "p.width_mm is missing"),
        (Panel("", "roof", 3, 4), "p.name is empty"),
        (Panel("x", "roof", 3, 4, paint="999 0 0"), "out of gamut"),
        (Panel("x", "roof", 3, 4, curvature="wavy"), "p.curvature is 'wavy'"),
        (Panel("x", "roof", 3, 4, outline_mm=((0, 0), (1, 0), (1, 1))), "a size and an outline"),
        (Panel("x", "roof", outline_mm=((0, 0), (1, 0))), "2 corners; allowed is 3 to 200"),
        (Panel("x", "roof", outline_mm=((0, 0), (4, 4), (4, 0), (0, 4))), "crosses itself"),
        (Panel("x", "roof", outline_mm=((0, 0), (9, 0), (9, 0))), "9.0 × 0.0 mm large"),
        (Panel("x", "roof", outline_mm=((0, 0), (9,), (9, 4))), "a corner that is no pair"),
        (Panel("x", "roof", 3, 4, keep_outs=(KeepOut("h", (1, 1), (0, 2)),)), "keep_outs[0].x_mm"),
        (Panel("x", "roof", 3, 4, keep_outs=(KeepOut("h", (1,), (0, 2)),)), "keep_outs[0].x_mm"),
    ],
)
def test_bad_panels(panel: Panel, sentence: str) -> None:
    assert any(sentence in one.sentence() for one in check_panel(panel, "p"))


def test_a_traced_outline_takes_its_scale_from_two_points() -> None:
    """500 px stand for 40 mm, so a square of 250 px is one of 20 mm."""
    square = [(100.0, 100.0), (350.0, 100.0), (350.0, 350.0), (100.0, 350.0)]
    outline = scaled_outline(square, ((0.0, 0.0), (300.0, 400.0)), 40.0)
    assert outline == ((0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0))
    with pytest.raises(InvalidInput, match="choose points far apart"):
        scaled_outline(square, ((5.0, 5.0), (5.0, 5.0)), 40.0)


def test_room_is_the_panel_without_keep_outs_and_their_clearance() -> None:
    assert room_of(DOOR).area == pytest.approx(22 * 13 - 3.6 * 1.6)


def fit_of(item: Item, place: Place, panel: Panel) -> tuple[bool, tuple[str, ...], float]:
    art = draw_item(item, item.height_mm, DARK, {})
    fit = check_fit(art, cut_line(art.silhouette(), 0.5, 0.5), place, panel)
    return fit.fits, fit.hits, fit.most_scale


def test_what_a_piece_runs_over_is_named() -> None:
    number = Item("n", "64", height_mm=6.0)
    assert fit_of(number, Place("left door", 6.0, 6.5), DOOR)[:2] == (True, ())
    assert fit_of(number, Place("left door", 17.0, 5.0), DOOR)[:2] == (False, ("handle",))
    assert fit_of(number, Place("left door", 1.0, 6.5), DOOR)[:2] == (False, ("the edge",))
    fits, hits, most = fit_of(number, Place("left door", 60.0, 6.5), DOOR)
    assert (fits, hits, most) == (False, ("the edge",), 0.0)


@pytest.mark.parametrize(("height_mm", "gap_mm"), [(12.0, 0.5), (12.0, 1.5), (1.5, 0.3)])
def test_the_largest_height_fits_when_printed_and_hardly_more_does(
    height_mm: float, gap_mm: float
) -> None:
    """The gap round the print stays as it is, whatever the height."""
    item, place = Item("n", "1234567890"), Place("bonnet", 11.0, 9.0, 20.0)

    def fit_at(height_mm: float) -> Fit:
        art = draw_item(item, height_mm, DARK, {})
        return check_fit(art, cut_line(art.silhouette(), gap_mm, 0.3), place, BONNET)

    most_mm = height_mm * fit_at(height_mm).most_scale
    assert fit_at(0.995 * most_mm).fits
    assert not fit_at(1.01 * most_mm).fits


def test_places_by_habit() -> None:
    """Left side: the nose points left, so the number is left and the logo right of it."""
    numbers = suggest_places("number", 8.0, 7.0, 6.0, PANELS)
    assert [one.place.panel for one in numbers] == ["left door", "right door", "bonnet"]
    left, right, bonnet = (one.place for one in numbers)
    assert left.x_mm < 11.0 < right.x_mm
    assert bonnet.x_mm == pytest.approx(11.0, abs=1.0)
    logos = suggest_places("logo", 8.0, 4.0, 4.0, PANELS)
    assert logos[0].place.x_mm > left.x_mm
    assert [one.place.panel for one in suggest_places("name", 15.0, 2.0, 2.0, PANELS)] == [
        "windscreen"
    ]
    assert suggest_places("number", 8.0, 7.0, 6.0, (GLASS,)) == ()
    flanks = (
        Panel("side", "left flank", 30.0, 12.0),
        Panel("other side", "right flank", 30.0, 12.0),
    )
    van = suggest_places("number", 8.0, 7.0, 6.0, flanks)
    assert [one.why for one in van] == ["the number at the leading edge of the flank"] * 2
    assert van[0].place.x_mm < 15.0 < van[1].place.x_mm
    for one, (wide, high, letters) in [
        *((one, (8.0, 7.0, 6.0)) for one in numbers),
        *((one, (8.0, 4.0, 4.0)) for one in logos),
    ]:
        panel = next(panel for panel in PANELS if panel.name == one.place.panel)
        scale = (one.place.height_mm or 0.0) / letters / 2.0
        x, y = one.place.x_mm, one.place.y_mm
        cut = box(x - wide * scale, y - high * scale, x + wide * scale, y + high * scale)
        assert room_of(panel).covers(cut)
        assert scale > 0.25


def test_auto_takes_what_shows_better() -> None:
    item = Item("n", "64")
    assert choose_ink(item, parse_colour("#ffe000"), CLEAR) == DARK
    # White ink is nothing on clear film, so dark it is even on dark paint.
    assert choose_ink(item, parse_colour("#101820"), CLEAR) == DARK
    assert choose_ink(item, parse_colour("#101820"), UNDER) == LIGHT
    assert choose_ink(item, parse_colour("#101820"), WHITE) == DARK
    on_ground = dataclasses.replace(item, ground=Ground("square", "#101820"))
    assert choose_ink(on_ground, parse_colour(RED), WHITE) == LIGHT


def shown(item: Item, paint: str, stock: Stock) -> tuple[float, tuple[str, ...]]:
    colour = parse_colour(paint)
    ink = choose_ink(item, colour, stock)
    art = draw_item(item, item.height_mm, ink, {})
    found = judge(item, art, item.height_mm, colour, stock)
    return found.weakest.contrast_ratio, advise(item, found, colour, stock, BY_EYE)


def test_colours_that_sink_get_a_way_out() -> None:
    ratio, advice = shown(Item("n", "64"), "#101820", CLEAR)
    assert ratio < 1.5
    assert "sink into the paint" in advice[0]
    assert "white film or white ink below" in advice[0]
    # Contrast of white on that paint, by the formula of WCAG itself.
    light = contrast_ratio(Colour(1, 1, 1), parse_colour("#101820"))
    assert f"with light letters ({light:.1f})" in advice[0]
    assert shown(Item("n", "64"), "#101820", UNDER)[1] == ()
    ratio, advice = shown(Item("n", "64"), "#ffe000", CLEAR)
    assert ratio > 7.0
    assert advice == ()


def test_ink_that_becomes_another_colour_is_told() -> None:
    _, advice = shown(Item("n", "64", colour="#ffffff", outline=Edge(0.5)), RED, CLEAR)
    assert "letters #ffffff comes out as #c8102e" in advice[0]


def test_small_letters_and_thin_strokes_are_told() -> None:
    _, advice = shown(Item("n", "lap", height_mm=1.0, weight="medium"), "#ffffff", CLEAR)
    assert any("letters are 1.0 mm high; from there 2.3 mm is the least" in one for one in advice)
    assert any("thin strokes are 0." in one for one in advice)


@pytest.mark.parametrize(
    ("shape", "thin_mm"),
    [
        (box(0, 0, 20, 1.5), 1.5),
        (box(0, 0, 10, 10).union(box(10, 0, 20, 1.0)), 1.0),  # 9 % of it is 1 mm thick
        (box(0, 0, 10, 10).union(box(10, 0, 12, 0.3)), 10.0),  # 0.6 % only
        (box(0, 0, 4, 2).union(box(0, 10, 10, 11)), 1.0),
    ],
)
def test_thin_strokes(shape: BaseGeometry, thin_mm: float) -> None:
    assert thin_stroke_mm(Fill(DARK, shape)) == pytest.approx(thin_mm, rel=0.03)


def test_sizes_in_a_film_frame() -> None:
    """1920 px show 960 mm, so a pixel is 0.5 mm: 9 px are 4.5 mm, 20 px are 10 mm."""
    still = readable_sizes(Viewing(frame_width_mm=960.0))
    assert (still.height_least_mm, still.height_good_mm) == (4.5, 10.0)
    assert still.stroke_least_mm == 0.5
    moving = readable_sizes(Viewing(frame_width_mm=960.0, speed_m_s=3.0, exposure_s=0.001))
    assert moving.blur_mm == pytest.approx(3.0)
    assert moving.stroke_least_mm == pytest.approx(3.0)
    assert farthest_mm(2.327) == pytest.approx(500.0, abs=0.5)


def test_steps_come_in_order_with_their_waits() -> None:
    pieces = [
        Application("banner", GLASS, 12.0),
        Application("number", BONNET, 8.0),
        Application("number", DOOR, 8.0, ("handle",)),
        Application("star", RIGHT, 4.0),
    ]
    steps = apply_steps(pieces)
    titles = [step.title for step in steps]
    assert titles[:4] == ["Let the ink dry", "Fix the print", "Clean the panels", "Cut out"]
    assert titles[-2:] == ["Let it dry through", "Seal"]
    # Flat panels first; what curves or is near a handle gets setting solution after it.
    assert titles.index("Apply to the left door: number") + 1 == titles.index(
        "Settle the edges on the left door"
    )
    assert titles.index("Apply to the right door: star") < titles.index(
        "Apply to the bonnet: number"
    )
    assert "Settle the edges on the right door" not in titles
    seal = steps[-1]
    dry = steps[-2]
    assert dry.wait_min >= OUTGAS_LEAST_H * 60
    assert "isocyanate" in seal.caution
    assert "Mask the windows" in seal.text
    assert all(step.source == "common practice, no source" for step in steps if step.wait_min)
    assert all(step.caution for step in steps if step.hazard is not Hazard.NONE)
    assert "15 s" in steps[4].text
    assert "never pull" in steps[4].text
    assert apply_steps([]) == ()


SMALL = (
    dataclasses.replace(DOOR, width_mm=16.0, height_mm=8.0, keep_outs=()),
    Panel("flank", "right flank", 18.0, 9.0),
    Panel("lid", "boot", 20.0, 10.0),
)


def test_a_livery_on_another_casting() -> None:
    places = (Place("left door", 11, 6.5), Place("right door", 11, 6.5), Place("bonnet", 11, 9))
    item = Item("number", "64", height_mm=6.0, places=places)
    logo = Item("logo", "Larch", height_mm=3.0, places=(Place("windscreen", 10, 3.5),))
    carried = carry([item, logo], PANELS, SMALL, {}, gap_mm=0.5, radius_mm=0.5)
    number = carried.items[0]
    assert [place.panel for place in number.places] == ["left door", "flank"]
    # 16/22 and 8/13: the smaller factor counts, in steps of 0.1 mm.
    assert number.places[0].height_mm == pytest.approx(3.6)
    told = "\n".join(carried.changes)
    assert "number on the left door: 6 mm became 3.6 mm, smaller." in told
    assert "number: moved from the right door to the right flank." in told
    assert "number: left off, as there is no panel like bonnet." in told
    assert "logo: has no place left" in told
    for place in number.places:
        panel = next(panel for panel in SMALL if panel.name == place.panel)
        height_mm = place.height_mm or 0.0
        assert fit_of(dataclasses.replace(item, height_mm=height_mm), place, panel)[0]


def test_the_same_casting_changes_nothing() -> None:
    item = Item("number", "64", height_mm=6.0, places=(Place("left door", 6, 6.5),))
    carried = carry([item], PANELS, PANELS, {}, gap_mm=0.5, radius_mm=0.5)
    assert carried.changes == ()
    assert carried.items[0].places[0] == dataclasses.replace(item.places[0], height_mm=6.0)
