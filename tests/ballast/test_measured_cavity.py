"""Caliper readings become a cavity; outlines and gaps are held against shapely."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.geometry import LineString, Point

from hillbench.ballast.body_styles import TYPICAL_CAVITIES
from hillbench.ballast.cavity import Cavity, Ceiling, KeepOut
from hillbench.ballast.clearance import gaps_of
from hillbench.ballast.measured_cavity import (
    BODY_STYLES,
    MeasuredCavity,
    cavity_of,
    require_measured,
)
from hillbench.ballast.outline import PhotoOutline, place_points, walls_of
from hillbench.ballast.plan import Placement
from hillbench.ballast.room import map_room
from hillbench.errors import InvalidInput

SALOON = TYPICAL_CAVITIES["saloon"]


def reading(**changed: float) -> MeasuredCavity:
    return replace(SALOON, readings=replace(SALOON.readings, **changed))


def test_every_style_has_a_typical_cavity_with_room() -> None:
    assert tuple(TYPICAL_CAVITIES) == BODY_STYLES
    for style, measured in TYPICAL_CAVITIES.items():
        require_measured(measured)
        assert measured.body_style == style
        room = map_room(cavity_of(measured), 0.5)
        assert 2.0 < room.volume_cm3 < 25.0


def test_a_bare_box_has_the_volume_of_a_box() -> None:
    """Length times width times height: 40 by 20 by 10 mm are 8 cm³."""
    box_car = reading(
        wheelbase_mm=40.0, rear_overhang_mm=0.0, front_overhang_mm=0.0, width_mm=20.0,
        floor_mm=3.0, deck_mm=10.0, roof_mm=10.0, bonnet_mm=10.0, rear_glass_foot_mm=5.0,
        rear_glass_top_mm=10.0, windscreen_top_mm=20.0, windscreen_foot_mm=30.0, belt_mm=10.0,
        roof_width_mm=20.0, axle_top_mm=0.0, roof_clearance_mm=0.0, glass_clearance_mm=0.0,
        wall_clearance_mm=0.0,
    )  # fmt: skip
    room = map_room(cavity_of(replace(box_car, keep_outs=())), 0.5)
    assert room.volume_cm3 == pytest.approx(8.0)


@pytest.mark.parametrize(
    ("changed", "place"),
    [
        ({"roof_mm": -1.0}, "roof_mm"),
        ({"deck_mm": 0.0}, "deck_mm"),
        ({"width_mm": 0.0}, "width_mm"),
        ({"rear_overhang_mm": -20.0, "front_overhang_mm": -20.0, "wheelbase_mm": 30.0},
         "rear_overhang_mm"),
        ({"windscreen_top_mm": 3.0}, "windscreen_top_mm"),
        ({"windscreen_foot_mm": 60.0}, "windscreen_foot_mm"),
        ({"roof_width_mm": 30.0}, "roof_width_mm"),
        ({"wall_clearance_mm": -0.1}, "wall_clearance_mm"),
        ({"wheelbase_mm": math.nan}, "wheelbase_mm"),
    ],
)  # fmt: skip
def test_readings_that_cannot_be_are_named(changed: dict[str, float], place: str) -> None:
    with pytest.raises(InvalidInput) as wrong:
        require_measured(reading(**changed))
    assert place in {problem.where for problem in wrong.value.problems}


def test_a_keep_out_that_cannot_be_is_named_by_its_place() -> None:
    bad = KeepOut("seat", "box", (9.0, 4.0), (-5.0, 5.0))
    with pytest.raises(InvalidInput) as wrong:
        require_measured(replace(SALOON, keep_outs=(bad,)))
    # The two axles come first in the cavity.
    assert wrong.value.problems[0].where == "keep_outs[2].x_mm"


@settings(deadline=None)
@given(
    turn=st.floats(0.0, 2.0 * math.pi),
    px_per_mm=st.floats(3.0, 60.0),
    x_px=st.floats(-500.0, 3000.0),
    points=st.lists(st.tuples(st.floats(-15, 55), st.floats(-12, 12)), min_size=3, max_size=9),
)
def test_a_photo_from_above_gives_back_the_places_it_shows(
    turn: float, px_per_mm: float, x_px: float, points: list[tuple[float, float]]
) -> None:
    """The photo is made with complex numbers: scale and turn are one multiplication."""
    factor = px_per_mm * complex(math.cos(turn), math.sin(turn))

    def photo(x: float, y: float) -> tuple[float, float]:
        seen = complex(x, y) * factor
        return (x_px + seen.real, 700.0 - seen.imag)  # rows count downwards

    outline = PhotoOutline(
        "above", "0" * 64, photo(0.0, 0.0), photo(42.0, 0.0), tuple(photo(*p) for p in points)
    )
    for placed, true in zip(place_points(outline, 42.0, 5.0), points, strict=True):
        assert placed == pytest.approx(true, abs=0.006)


@pytest.mark.parametrize("nose_left", [False, True])
def test_up_stays_up_in_a_photo_from_the_side(nose_left: bool) -> None:
    way = -1.0 if nose_left else 1.0
    rear, front = (500.0, 400.0), (500.0 + way * 420.0, 400.0)
    points = ((rear[0] + way * 100.0, 300.0), (rear[0] + way * 200.0, 280.0))
    outline = PhotoOutline("side", "0" * 64, rear, front, points)
    assert place_points(outline, 42.0, 5.0) == ((10.0, 15.0), (20.0, 17.0))


STAR = st.lists(st.floats(4.0, 12.0), min_size=5, max_size=12)


@settings(deadline=None)
@given(STAR)
def test_walls_leave_free_only_what_the_outline_holds(radii: list[float]) -> None:
    """Area by shapely: outside the walls nothing lies outside the outline."""
    count = len(radii)
    points = [
        (
            round(20.0 + 2.0 * r * math.cos(math.tau * i / count), 2),
            round(r * math.sin(math.tau * i / count), 2),
        )
        for i, r in enumerate(radii)
    ]
    inside = Polygon(points)
    free = box(*inside.bounds)
    for wall in walls_of(points):
        assert isinstance(wall.x_mm, tuple)
        assert isinstance(wall.y_mm, tuple)
        free -= box(wall.x_mm[0], wall.y_mm[0], wall.x_mm[1], wall.y_mm[1])
    assert (free - inside).area <= 0.02 * inside.length


def test_walls_of_a_rectangle_are_none() -> None:
    assert walls_of([(0.0, -5.0), (40.0, -5.0), (40.0, 5.0), (0.0, 5.0)]) == ()


PIECE = st.tuples(*(st.floats(low, low + 15.0) for low in (-5.0, -6.0)))


@settings(deadline=None)
@given(PIECE, st.tuples(st.floats(1, 15), st.floats(1, 10)), st.floats(0.5, 3.0))
def test_gaps_to_posts_and_boxes_are_those_of_shapely(
    corner: tuple[float, float], size: tuple[float, float], radius: float
) -> None:
    piece = Placement(1, "bar", *corner, 4.0, (*size, 3.0), 5.0, 1, 0, "floor")
    post = KeepOut("post", "cylinder", 25.0, 1.0, (None, None), radius, 0.5)
    seat = KeepOut("seat", "box", (21.0, 24.0), (-9.0, -5.0), (None, 8.0), None, 0.5)
    cavity = Cavity((-10.0, 50.0), (-20.0, 20.0), 4.0, (), (post, seat))
    gaps = {one.to: one.gap_mm for one in gaps_of(cavity, piece)}
    outline = box(corner[0], corner[1], corner[0] + size[0], corner[1] + size[1])
    distance = outline.distance(Point(25.0, 1.0)) - radius
    assert gaps["post"] == pytest.approx(distance, abs=1e-9)
    assert gaps["seat"] == pytest.approx(outline.distance(box(21, -9, 24, -5)), abs=1e-9)


def test_a_gap_below_the_glass_is_that_to_the_line() -> None:
    glass = Ceiling("windscreen", "profile", (10.0, 16.0), (20.0, 8.0), clearance_mm=0.4)
    cavity = Cavity((0.0, 40.0), (-10.0, 10.0), 4.0, (glass,))
    piece = Placement(3, "bar", 8.0, -2.0, 4.0, (7.0, 4.0, 3.0), 5.0, 1, 0, "floor")
    (found,) = (one for one in gaps_of(cavity, piece) if one.to == "windscreen")
    upright = LineString([(15.0, 7.0), (15.0, 30.0)])
    meets = upright.intersection(LineString([(10.0, 16.0), (20.0, 8.0)]))
    assert found.gap_mm == pytest.approx(meets.y - 7.0)
    assert found.sentence() == "Piece 3 is 5.0 mm below the windscreen, 0.4 asked."
