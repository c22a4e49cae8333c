"""Pictures of ballast: sizes read back, what hides what by casting rays, words that can be read."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from hillbench.ballast.body_styles import TYPICAL_CAVITIES
from hillbench.ballast.measured_cavity import cavity_of
from hillbench.ballast.plan import Placement, Plan
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.task import BallastTask, FixedMass
from hillbench.pictures import palette
from hillbench.pictures.balance_curve import MarkedPlace, balance_curve_picture
from hillbench.pictures.ballast_sheet import ballast_picture, ballast_sheet
from hillbench.pictures.ballast_solid import solid_picture
from hillbench.pictures.cavity_view import LETTERS, cavity_picture
from hillbench.pictures.solids import Look, Solid, box, cylinder
from tests.pictures.reading import SVG, marks, read, texts
from tests.pictures.test_palette import contrast

HOSTILE = "<b onload='x'>&\"bar"
STOCK = (StockPiece(HOSTILE, (19.0, 12.7, 2.6), 2, 7.0), StockPiece("cube", (5, 5, 5), 1, 2.3))
TASK = BallastTask(
    42.0, 57.0, cavity_of(TYPICAL_CAVITIES["saloon"]), STOCK, (FixedMass("car", 40.0, 20, 0, 9),)
)
PLAN = Plan(
    (
        Placement(1, HOSTILE, 10.0, -6.0, 3.5, (12.7, 19.0, 2.6), 7.0, 1, 0, "floor"),
        Placement(2, "cube", 12.0, -2.0, 6.1, (5.0, 5.0, 5.0), 2.3, 2, 1, "piece 1"),
    ),
    49.3, 19.6, 0.1, 8.4, 0.1,
)  # fmt: skip

PART = st.floats(-20.0, 20.0)
EDGE = st.floats(1.0, 15.0)
BODY = st.tuples(PART, PART, PART, EDGE, EDGE, EDGE)
LOOKS = st.builds(Look, st.floats(-180.0, 180.0), st.floats(5.0, 90.0))


@settings(deadline=None)
@given(LOOKS, st.tuples(PART, PART, PART))
def test_the_projection_is_two_turns_of_a_rigid_body(
    look: Look, place: tuple[float, float, float]
) -> None:
    """Held against SciPy's rotations: about z, then about the line across the view."""
    turned = Rotation.from_euler("z", look.turn_deg, degrees=True).apply(place)
    across, _, up = Rotation.from_euler("x", look.tilt_deg, degrees=True).apply(turned)
    assert look.flat(place) == pytest.approx((across, up), abs=1e-9)


def boxes_apart(bodies: list[tuple[float, ...]]) -> list[Solid]:
    """Return boxes that do not overlap: a later one that would is left out."""
    kept: list[Solid] = []
    for number, (x, y, z, a, b, c) in enumerate(bodies):
        one = box(str(number), "piece", (x, y, z), (x + a, y + b, z + c))
        if all(any(one.low[i] >= k.high[i] or k.low[i] >= one.high[i] for i in range(3))
               for k in kept):  # fmt: skip
            kept.append(one)
    return kept


def depth_of_hit(solid: Solid, start: np.ndarray, way: np.ndarray) -> float:
    """Return how far along a ray it enters a box; infinite where it misses (slab method)."""
    low, high = np.array(solid.low), np.array(solid.high)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        first, second = (low - start) / way, (high - start) / way
        near, far = np.fmax.reduce(np.fmin(first, second)), np.fmin.reduce(np.fmax(first, second))
    return float(near) if near < far - 1e-6 else math.inf


@settings(deadline=None)
@given(st.lists(BODY, min_size=2, max_size=7), LOOKS, st.integers(0, 2**32 - 1))
def test_what_a_ray_meets_first_is_drawn_last(
    bodies: list[tuple[float, ...]], look: Look, seed: int
) -> None:
    solids = boxes_apart(bodies)
    way, rng = np.array(look.inward), np.random.default_rng(seed)
    for target in solids:
        inside = rng.uniform(target.low, target.high)
        hits = [(depth_of_hit(one, inside - 500.0 * way, way), one) for one in solids]
        met = sorted((one for one in hits if math.isfinite(one[0])), key=lambda one: one[0])
        for (near, first), (far, other) in itertools.combinations(met, 2):
            if far - near > 1e-3:
                # Two at a time: three may hide each other in a ring, which no order settles.
                assert look.order([first, other])[-1] is first
                assert look.order([other, first])[-1] is first


@settings(deadline=None)
@given(LOOKS)
def test_a_stack_of_boxes_is_ordered_as_a_whole(look: Look) -> None:
    """In a grid of boxes each is drawn before its neighbours on the viewer's side."""
    grid = {
        (i, j, k): box(f"{i}{j}{k}", "piece", (5.0 * i, 4.0 * j, 3.0 * k),
                       (5.0 * i + 5.0, 4.0 * j + 4.0, 3.0 * k + 3.0))
        for i in range(3) for j in range(2) for k in range(2)
    }  # fmt: skip
    place = {one.name: number for number, one in enumerate(look.order(list(grid.values())))}
    for at, one in grid.items():
        for axis, way in enumerate(look.inward):
            beside = tuple(step + (part == axis) for part, step in enumerate(at))
            other = grid.get((beside[0], beside[1], beside[2]))
            if other is not None and abs(way) > 1e-3:
                farther, nearer = (other, one) if way > 0.0 else (one, other)
                assert place[farther.name] < place[nearer.name]


def test_faces_of_a_cylinder_close_and_look_outwards() -> None:
    body = cylinder("rod", "piece", (0, 0, 0), (10, 4, 4), axis=0)
    middle = np.array([5.0, 2.0, 2.0])
    for face in body.faces:
        centre = np.mean(np.array(face.corners), axis=0)
        assert np.dot(centre - middle, face.outward) > 0.0
        assert math.hypot(*face.outward) == pytest.approx(1.0)


@pytest.mark.parametrize("width", [350, 600, 900])
def test_pieces_stand_in_the_picture_at_its_scale(width: int) -> None:
    root = read(ballast_picture(TASK, PLAN, "A sentence.", width_px=width, key="k"))
    scale = float(root.attrib["data-px-per-mm"])
    rects = [
        (float(one.attrib["width"]), float(one.attrib["height"]))
        for one in root.iter(f"{SVG}rect")
        if "piece" in one.attrib["class"].split()
    ]
    # From above 12.7 by 19, from the side 12.7 by 2.6; pictures round to hundredths of a px.
    for size in ((12.7, 19.0), (5.0, 5.0), (12.7, 2.6)):
        wanted = (size[0] * scale, size[1] * scale)
        assert any(one == pytest.approx(wanted, abs=0.02) for one in rects), size
    assert {"1", "2"} <= {text for label in texts(root) for text in label.split(", ")}
    assert float(root.attrib["viewBox"].split()[2]) == width


def test_names_are_escaped_in_every_picture() -> None:
    drawn = (
        ballast_sheet(TASK, PLAN, HOSTILE),
        ballast_picture(TASK, PLAN, HOSTILE, width_px=350, key="k"),
        solid_picture(TASK, PLAN, HOSTILE, Look(20.0, 30.0), width_px=400, key="s"),
    )
    for picture in drawn:
        assert "<b " not in picture
        read(picture)


def test_all_pieces_and_posts_are_in_the_view_in_space() -> None:
    root = read(solid_picture(TASK, PLAN, "x", Look(-30.0, 30.0), width_px=640, key="s"))
    assert [one.get("data-name") for one in marks(root, "piece")].count("cube") == 1
    names = {one.get("data-name") for one in marks(root, "post")}
    assert names == {"rear axle", "front axle", "rear post", "front post"}
    assert {"1", "2", "nose", "tail"} <= set(texts(root))


def test_a_cavity_carries_a_letter_for_each_reading_and_rows_to_drag() -> None:
    for measured in TYPICAL_CAVITIES.values():
        root = read(cavity_picture(measured, width_px=350, key="c"))
        assert set(LETTERS.values()) <= set(texts(root))
        rows = {one.get("data-keep-out") for one in marks(root, "keep-out")} - {None}
        assert rows == {"0", "1"}


def test_equal_keep_outs_keep_their_own_rows() -> None:
    saloon = TYPICAL_CAVITIES["saloon"]
    twice = replace(saloon, keep_outs=(saloon.keep_outs[0], saloon.keep_outs[0]))
    root = read(cavity_picture(twice, width_px=350, key="c"))
    rows = [one.get("data-keep-out") for one in marks(root, "keep-out")]
    assert sorted(row for row in rows if row) == ["0", "1"]


def test_the_curve_breaks_where_the_car_does_not_finish() -> None:
    shares, times = (0.2, 0.4, 0.6, 0.8), (9.0, 9.1, None, 9.3)
    places = (MarkedPlace("plan", 0.4, 9.1),)
    picture = balance_curve_picture(shares, times, (0.2, 0.3), places, "s", width_px=350, key="b")
    root = read(picture)
    assert "plan" in texts(root)
    (curve,) = marks(root, "curve")
    assert curve.attrib["points"].count(",") == 1
    empty = balance_curve_picture(shares, (None,) * 4, None, (), "s", width_px=350, key="b")
    assert marks(read(empty), "curve") == []


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_numbers_on_pieces_can_be_read(theme: str) -> None:
    """WCAG 2.2, 1.4.3 for words and 1.4.11 for the edges of pieces."""
    tone = {name: getattr(one, theme) for name, one in palette.TONES.items()}
    for ground in ("piece-top", "piece-side", "piece-end", "post-top"):
        assert contrast(tone["ink"], tone[ground]) >= 4.5, ground
    assert contrast(tone["ink"], tone["paper"]) >= 3.0
