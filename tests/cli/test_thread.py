from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from hillbench.cli.main import main
from hillbench.usecases.choose_thread import choose_thread
from hillbench.usecases.thread_question import ThreadQuestion


def test_json_is_one_object_and_the_answer_of_the_use_case(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = ["thread", "2-56", "--drill", "5/64", "--post-material", "zinc"]
    assert main([*words, "--engagement-mm", "4", "--json"]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    expected = dataclasses.asdict(choose_thread(ThreadQuestion("2-56", "5/64", engagement_mm="4")))
    assert json.loads(printed.out) == json.loads(json.dumps(expected))


def test_the_sentence_stands_first_and_the_picture_is_drawn(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = tmp_path / "out.svg"
    words = ["thread", "M2", "--drill", "1.6mm", "--post-diameter-mm", "4"]
    lengths = ["--screw-length-mm", "6", "--base-thickness-mm", "1", "--post-height-mm", "10"]
    assert main([*words, *lengths, "--plot", str(drawing)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("M2x0.4 in a 1.6 mm hole, tapped, has 77 % of a full thread;")
    assert lines[-1] == f"Drawn in {drawing}."
    assert any(line.startswith("wall ") for line in lines)
    assert any(line.startswith("depth ") for line in lines)
    assert ElementTree.parse(drawing).getroot().tag.endswith("svg")


def test_each_problem_takes_one_line_on_standard_error(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["thread", "2-57", "--drill", "5/64mm", "--post-material", "zink"]
    assert main([*words, "--engagement-mm", "5/64"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert [line.split(" is ")[0] for line in printed.err.splitlines()] == [
        "engagement_mm",
        "designation",
        "drill",
        "post_material",
    ]
