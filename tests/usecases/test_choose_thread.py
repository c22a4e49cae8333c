from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest

from hillbench.errors import InvalidInput
from hillbench.help import read_help
from hillbench.usecases.choose_thread import choose_thread
from hillbench.usecases.show_thread import show_thread
from hillbench.usecases.tell_thread import BENCH_CAUTION
from hillbench.usecases.thread_question import ThreadQuestion

PROMISED = {
    *("drill_mm", "thread_percent", "pitch_mm", "major_mm", "pitch_diameter_mm", "minor_mm"),
    *("stress_area_mm2", "strip_force_n", "safe_torque_n_mm", "advice"),
}


def problems(**asked: Any) -> list[str]:
    with pytest.raises(InvalidInput) as told:
        choose_thread(ThreadQuestion(**{"designation": "2-56", "drill": "#50", **asked}))
    return [problem.sentence() for problem in told.value.problems]


def test_every_promised_key_is_there_and_finite() -> None:
    answer = dataclasses.asdict(choose_thread(ThreadQuestion("2-56", "5/64")))
    assert set(answer) >= PROMISED
    assert set(answer["strip_force_n"]) == {"post", "screw"}
    numbers = [value for value in answer.values() if isinstance(value, float)]
    assert all(math.isfinite(number) for number in numbers)


def test_a_5_64_hole_is_told_as_easy_to_drive_and_easy_to_strip() -> None:
    """Common practice: a third of a thread for a tap; forming in it raises two thirds."""
    advice = choose_thread(ThreadQuestion("2-56", "5/64", engagement_mm="4")).advice
    assert "about a third of a full thread: easy to drive, easy to strip" in advice
    assert "about 65 % in the same hole" in advice
    assert advice.endswith(BENCH_CAUTION)


def test_without_a_drill_the_nearest_to_the_percent_is_taken() -> None:
    answer = choose_thread(ThreadQuestion("4-40", percent=71.0))
    assert answer.drill_mm == pytest.approx(0.0890 * 25.4, abs=0.03)
    assert abs(answer.thread_percent - 71.0) < 2.0
    formed = choose_thread(ThreadQuestion("2-56", method="formed"))
    assert formed.drill_mm == pytest.approx(5 / 64 * 25.4, abs=0.03)


def test_engagement_is_asked_taken_from_the_lengths_or_assumed() -> None:
    lengths = ThreadQuestion(
        "M2", "1.6mm", screw_length_mm="6", base_thickness_mm="1", post_height_mm="10"
    )
    asked = choose_thread(dataclasses.replace(lengths, engagement_mm="3"))
    measured = choose_thread(lengths)
    assumed = choose_thread(ThreadQuestion("M2", "1.6mm"))
    assert asked.engagement_from == "asked"
    assert asked.engagement_mm == 3.0
    assert measured.engagement_from == "lengths"
    assert measured.engagement_mm == pytest.approx(4.6)
    assert assumed.engagement_from == "assumed"
    assert assumed.engagement_mm == pytest.approx(3.0)
    assert measured.depths is not None
    assert measured.depths.drill_mm == pytest.approx(7.8)


def test_a_bottoming_screw_and_a_bowed_base_are_told() -> None:
    answer = choose_thread(
        ThreadQuestion(
            "M2",
            "1.6mm",
            screw_length_mm="6",
            base_thickness_mm="1",
            post_height_mm="7",
            post_diameter_mm="3",
            gap_mm="0.2",
            base_span_mm="40",
        )
    )
    for words in ("would bottom", "would come through", "wall left round the thread is thin"):
        assert words in answer.advice
    assert "bows the base by 0.20 mm, onto the post" in answer.advice
    assert answer.bow is not None
    assert answer.bow.bow_mm == pytest.approx(0.2)


def test_a_stiff_base_does_not_close_a_wide_gap() -> None:
    answer = choose_thread(
        ThreadQuestion(
            "2-56", "#50", base_thickness_mm="2", base_span_mm="20", base_width_mm="20", gap_mm="1"
        )
    )
    assert "does not close the gap" in answer.advice


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (
            {"screw_length_mm": "12", "base_thickness_mm": "1", "post_height_mm": "6"},
            "screw_length_mm is 12 mm; allowed is at most base and post together (7 mm)",
        ),
        ({"drill": "#43"}, "drill is #43 (2.261 mm); allowed is less than the smallest 2-56"),
        ({"drill": "#60"}, "drill is #60 (1.016 mm); allowed is at least 1.595 mm"),
        ({"post_diameter_mm": "1.5"}, "post_diameter_mm is 1.5 mm; allowed is more than the hole"),
        ({"base_thickness_mm": "0"}, "base_thickness_mm is 0 mm; allowed is more than 0"),
        ({"engagement_mm": "0"}, "engagement_mm is 0 mm; allowed is more than 0"),
        ({"engagement_mm": "5/64"}, "engagement_mm is '5/64'; allowed is a decimal number of mm"),
        (
            {"engagement_mm": "8", "post_height_mm": "6"},
            "engagement_mm is 8 mm; allowed is at most",
        ),
        ({"drill": "5/64mm"}, "drill is '5/64mm'; allowed is a decimal number of mm"),
        ({"designation": "2-57"}, "designation is '2-57'; allowed is an inch thread"),
        ({"post_material": "zink"}, "post_material is 'zink'; allowed is one of zinc"),
        ({"screw_material": "zinc"}, "screw_material is 'zinc'; allowed is one of steel"),
        ({"method": "glued"}, "method is 'glued'; allowed is one of tapped, formed"),
        ({"head": "round"}, "head is 'round'; allowed is one of pan"),
        ({"tap": "short"}, "tap is 'short'; allowed is one of taper"),
        ({"friction": "wet"}, "friction is 'wet'; allowed is one of dry, oiled"),
        ({"percent": 95.0}, "percent is 95 %; allowed is between 10 and 83 %"),
        ({"safety_factor": 0.5}, "safety_factor is 0.5; allowed is between 1 and 20"),
        ({"safety_factor": math.nan}, "safety_factor is nan"),
        ({"screw_length_mm": "5"}, "base_thickness_mm is missing"),
        ({"base_span_mm": "40"}, "base_thickness_mm is missing"),
        ({"gap_mm": "-1"}, "gap_mm is -1 mm; allowed is 0 and at most 100 mm"),
        (
            {"screw_length_mm": "3", "base_thickness_mm": "2.7", "post_height_mm": "8"},
            "screw_length_mm is 3 mm; allowed is a screw that leaves full threads in the post",
        ),
    ],
)
def test_bad_input_is_told_in_a_sentence(asked: dict[str, Any], told: str) -> None:
    assert problems(**asked)[0].startswith(told)


def test_every_problem_is_told_at_once() -> None:
    found = problems(designation="2-57", drill="#99", post_material="zink", gap_mm="1/8")
    starts = ["gap_mm is", "designation is", "drill is", "post_material is"]
    assert [sentence[: len(start)] for sentence, start in zip(found, starts, strict=True)] == starts


def test_the_table_of_the_guide_is_what_is_computed() -> None:
    rows = [
        [cell.strip() for cell in line.strip("| ").split("|")]
        for line in read_help("opening-and-closing").body.splitlines()
        if line.startswith(("| 2-56", "| M2"))
    ]
    assert len(rows) == 4
    for thread, drill, method, percent, force, drives, undone in rows:
        size = drill.replace(" mm", "mm")
        found = choose_thread(ThreadQuestion(thread, size, method, engagement_mm="4"))
        own = next(one for one in found.options if (one.drill, one.method) == (drill, method))
        assert f"{own.made_percent:.0f}" == percent
        assert f"{float(f'{own.strip_force_n.post:.2g}'):.0f} N" == force
        assert own.drive.startswith(drives)
        assert own.reopening.startswith(undone)


def test_the_torque_of_the_guide_is_what_is_computed() -> None:
    zinc = choose_thread(ThreadQuestion("2-56", "#50", engagement_mm="4"))
    plastic = choose_thread(ThreadQuestion("2-56", "#50", engagement_mm="4", post_material="abs"))
    body = read_help("opening-and-closing").body
    assert f"about {float(f'{zinc.safe_torque_n_mm:.2g}'):.0f} N mm" in body
    assert plastic.safe_torque_n_mm < 0.5 * zinc.safe_torque_n_mm


def test_side_by_side_says_which_holds_which_drives_which_lasts() -> None:
    """Common practice, no source: easy to drive is easy to strip; a tapped thread lasts."""
    told = choose_thread(ThreadQuestion("2-56", "5/64", engagement_mm="4")).comparison
    holds, drives, often, few = told.removesuffix(".").split(". ")
    assert holds.startswith("Holds most")
    assert "tapped 2-56 in #50" in holds
    assert drives == "Drives easily: tapped 2-56 in 5/64 in"
    assert often.endswith(": tapped 2-56 in #50, tapped M2x0.4 in 1.6 mm")
    assert few == "Only a few times: tapped 2-56 in 5/64 in"
    plastic = choose_thread(ThreadQuestion("2-56", "#50", post_material="abs")).comparison
    assert "Drives easily: all of them." in plastic


def test_a_rivet_measured_is_told_with_its_drills() -> None:
    """Common practice, no source: no wider than the head, a pilot of 0.4 of it before."""
    answer = choose_thread(
        ThreadQuestion("2-56", "#50", rivet_head_diameter_mm="3.1", rivet_head_height_mm="0.8")
    )
    assert answer.rivet is not None
    assert answer.rivet.drill_mm == pytest.approx(3.1)
    assert answer.rivet.pilot_mm <= 0.4 * 3.1
    assert answer.rivet.depth_mm == pytest.approx(0.8)
    assert answer.advice.startswith("Take the head of the rivet off: centre mark, pilot 1.2 mm")
    assert choose_thread(ThreadQuestion("2-56", "#50")).rivet is None


def test_half_a_rivet_is_asked_about() -> None:
    assert problems(rivet_head_height_mm="0.8") == [
        "rivet_head_diameter_mm is missing; allowed is a length in mm: give both."
    ]
    assert problems(rivet_head_diameter_mm="20", rivet_head_height_mm="1") == [
        "rivet_head_diameter_mm is 20 mm; allowed is more than 0 and at most 12 mm."
    ]
    assert "did you mean 1/8 in" in problems(rivet_head_diameter_mm="1/8")[0]


def test_the_one_sentence_says_what_spoils_it() -> None:
    """A plug tap has a lead of five threads, so a short post is drilled through first."""
    short = ThreadQuestion(
        "2-56", "#50", screw_length_mm="6", base_thickness_mm="1.2", post_height_mm="7"
    )
    sentence = show_thread(short).sentence
    assert sentence.endswith("But the drill would come through and the screw would bottom.")
    assert "But" not in show_thread(dataclasses.replace(short, post_height_mm="10")).sentence
    forced = ThreadQuestion("2-56", "#50", method="formed")
    assert show_thread(forced).sentence.endswith("But tap or screw would break.")
