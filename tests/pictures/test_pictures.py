from __future__ import annotations

from collections.abc import Callable

import pytest

from hillbench.coasting.result import Status
from hillbench.coasting.track import HeightPoint, SlopePoint, Track
from hillbench.pictures import palette
from hillbench.pictures.comparison import comparison_picture
from hillbench.pictures.drawing import MIDDLE_PX, NARROW_PX, WIDE_PX
from hillbench.pictures.energy import energy_picture
from hillbench.pictures.hill import hill_picture, hill_thumbnail
from hillbench.pictures.margin import margin_picture
from hillbench.pictures.plan import plan_picture
from hillbench.pictures.profile import profile_picture
from hillbench.pictures.report import run_report
from hillbench.pictures.trace import trace_picture
from tests.pictures import reading, runs

Draw = Callable[[int, bool], str]

PICTURES: dict[str, Draw] = {
    "profile": lambda w, s: profile_picture(runs.TRACK, runs.FINISHED, width_px=w, standalone=s),
    "profile-stalled": lambda w, s: profile_picture(
        runs.TRACK, runs.stopped_at(400), width_px=w, standalone=s
    ),
    "profile-no-start": lambda w, s: profile_picture(
        runs.TRACK, runs.stopped_at(0, Status.DID_NOT_START), width_px=w, standalone=s
    ),
    "trace": lambda w, s: trace_picture(runs.TRACK, runs.FINISHED, width_px=w, standalone=s),
    "trace-no-start": lambda w, s: trace_picture(
        runs.TRACK, runs.stopped_at(0, Status.DID_NOT_START), width_px=w, standalone=s
    ),
    "energy": lambda w, s: energy_picture(runs.ENERGY, width_px=w, standalone=s),
    "margin": lambda w, s: margin_picture(runs.MARGINS, width_px=w, standalone=s),
    "margin-none": lambda w, s: margin_picture((), width_px=w, standalone=s),
    "plan": lambda w, s: plan_picture(runs.TRACK, width_px=w, standalone=s),
    "comparison": lambda w, s: comparison_picture(
        runs.TRACK, runs.FINISHED, runs.faster_by(0.1), width_px=w, standalone=s
    ),
    "comparison-same": lambda w, s: comparison_picture(
        runs.TRACK, runs.FINISHED, runs.FINISHED, width_px=w, standalone=s
    ),
    "hill": lambda w, s: hill_picture(runs.TRACK, width_px=w, standalone=s),
}


@pytest.mark.parametrize("width_px", [NARROW_PX, MIDDLE_PX, WIDE_PX])
@pytest.mark.parametrize("name", PICTURES)
def test_is_well_formed_and_speaks_to_those_who_do_not_see_it(name: str, width_px: int) -> None:
    root = reading.read(PICTURES[name](width_px, False))
    assert root.get("role") == "img"
    named = {element.get("id"): element.text for element in root}
    title_id, description_id = root.attrib["aria-labelledby"].split()
    assert named[title_id]
    assert named[description_id]


@pytest.mark.parametrize("width_px", [NARROW_PX, MIDDLE_PX, WIDE_PX])
@pytest.mark.parametrize("name", PICTURES)
def test_every_mark_lies_on_the_paper_and_uses_a_known_style(name: str, width_px: int) -> None:
    root = reading.read(PICTURES[name](width_px, False))
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    assert width == width_px
    for element in root.iter():
        assert element.get("style") is None
        for style in (element.get("class") or "").split():
            assert style == "picture" or style in palette.STYLES
        if "points" in element.attrib:
            assert all(0 <= x <= width and 0 <= y <= height for x, y in reading.corners(element))
        if element.tag == f"{reading.SVG}text":
            assert 0 <= float(element.attrib["x"]) <= width
            assert 0 < float(element.attrib["y"]) <= height


@pytest.mark.parametrize("name", PICTURES)
def test_a_file_of_its_own_carries_its_colours(name: str) -> None:
    picture = PICTURES[name](WIDE_PX, True)
    assert "var(" not in picture
    assert picture.count("class=") == 1  # the root's
    fills = {element.get("fill") for element in reading.read(picture).iter(f"{reading.SVG}text")}
    assert fills <= {tone.light for tone in palette.TONES.values()}


def test_names_are_escaped() -> None:
    name = '<script>alert("1")</script> & Söhne'
    for picture in (
        hill_picture(runs.TRACK, name=name),
        plan_picture(runs.TRACK, name=name),
        hill_thumbnail(runs.TRACK, name=name, key="small"),
        run_report(runs.TRACK, runs.FINISHED, name, title=name),
    ):
        assert "<script" not in picture
        assert name in "".join(reading.read(picture).itertext())


def test_report_holds_the_answer_and_three_pictures() -> None:
    root = reading.read(run_report(runs.TRACK, runs.FINISHED, "About 7.07 s."))
    assert "About 7.07 s." in reading.texts(root)
    assert len(list(root.iter(f"{reading.SVG}svg"))) == 4


def test_a_long_answer_is_wrapped() -> None:
    answer = "The car does not start: " + "raise the start, or free the wheels. " * 5
    root = reading.read(run_report(runs.TRACK, runs.stopped_at(0, Status.DID_NOT_START), answer))
    first = next(text for text in reading.texts(root) if text.startswith("The car does not"))
    assert len(first) < len(answer) / 2
    assert " ".join(answer.split()) in " ".join(reading.texts(root))


@pytest.mark.parametrize(
    "track",
    [
        Track(5.0, slope_points=(SlopePoint(0.0, 0.0),)),
        Track(5.0, slope_points=(SlopePoint(0.0, -5.0),)),
        Track(0.01, slope_points=(SlopePoint(0.0, 10.0),)),
        Track(900.0, height_points=(HeightPoint(-3.0, 5.0), HeightPoint(950.0, 0.0))),
    ],
    ids=["level", "uphill", "tiny", "huge"],
)
def test_odd_tracks_are_drawn_on_the_paper(track: Track) -> None:
    for width in (NARROW_PX, MIDDLE_PX, WIDE_PX):
        for picture in (hill_picture(track, width_px=width), plan_picture(track, width_px=width)):
            root = reading.read(picture)
            height = float(root.attrib["viewBox"].split()[3])
            for element in root.iter():
                if "points" in element.attrib:
                    assert all(0 <= y <= height for _, y in reading.corners(element))
