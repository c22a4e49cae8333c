from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from hillbench.cli.main import main
from tests.usecases.coast_text import example_text


@pytest.fixture
def question(tmp_path: Path) -> Path:
    file = tmp_path / "run.json"
    file.write_text(example_text(), encoding="utf-8")
    return file


def test_json_is_one_object_and_nothing_else(
    question: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["coast", str(question), "--json"]) == 0
    printed = capsys.readouterr()
    answer = json.loads(printed.out)
    assert answer["status"] == "finished"
    assert len(answer["gate_times_s"]) == 2
    assert printed.err == ""


def test_the_sentence_stands_first_and_the_picture_is_drawn(
    question: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = tmp_path / "out.svg"
    assert main(["coast", str(question), "--plot", str(drawing)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("About 2.4")
    assert ElementTree.parse(drawing).getroot().tag.endswith("svg")
    assert [file.name for file in tmp_path.iterdir() if file.suffix == ".part"] == []


def test_each_problem_takes_one_line_on_standard_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "run.json"
    file.write_text(example_text(car__mass_g=3700, track__finish_at_m=-2.0), encoding="utf-8")
    assert main(["coast", str(file), "--json"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert [line.split(" is ")[0] for line in printed.err.splitlines()] == [
        "track.finish_at_m",
        "track.gates_at_m[0]",
        "track.gates_at_m[1]",
        "car.mass_g",
    ]


def test_a_file_that_is_not_there_is_told_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["coast", "no-such-file.json"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_a_file_that_is_no_text_is_told_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "run.json"
    file.write_bytes(b"\xff\xfe\x00\x80" * 100)
    assert main(["coast", str(file)]) == 2
    assert "no UTF-8 text" in capsys.readouterr().err
