"""The commands compare, gain and order, as other programs call them."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from hillbench.cli.main import main

TABLE = "car,time_s,lane,order\n" + "".join(
    f"{car},{time},{place % 2 + 1},{place + 1}\n"
    for place, (car, time) in enumerate(
        zip("ABBABAAB", (10.52, 10.41, 10.43, 10.55, 10.40, 10.51, 10.54, 10.44), strict=True)
    )
)


@pytest.fixture
def table(tmp_path: Path) -> Path:
    file = tmp_path / "runs.csv"
    file.write_text(TABLE, encoding="utf-8")
    return file


def test_the_sentence_comes_first(table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", str(table)]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("B is faster, ")
    assert err == ""


def test_compare_as_json(table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", str(table), "--json", "--matters", "0.02"]) == 0
    answer = json.loads(capsys.readouterr().out)
    for car in answer["cars"]:
        assert {"typical_time_s", "best_time_s", "runs", "repeatability_s"} <= car.keys()
    pair = answer["pairs"][0]
    assert pair["gap_low_s"] < pair["gap_s"] < pair["gap_high_s"] < 0.0
    assert pair["probability_first_faster"] < 0.05
    assert (pair["verdict"], pair["runs_still_needed"]) == ("second", 0)
    assert answer["odd_runs"] == []


def test_gain_by_either_command(table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ask = ["--before", "A", "--after", "B", "--json"]
    assert main(["compare", str(table), *ask]) == 0
    first = capsys.readouterr().out
    assert main(["gain", str(table), *ask]) == 0
    second = capsys.readouterr().out
    assert first == second
    answer = json.loads(first)
    assert (answer["verdict"], answer["layout"]) == ("gain", "swap")
    assert answer["gain_s"] == pytest.approx(0.11, abs=0.03)


def test_good_rows_are_answered_and_bad_ones_told(
    table: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table.write_text(TABLE + "A,-10.4,1,9\nB,1000,2,10\nB,,1,11\n", encoding="utf-8")
    assert main(["compare", str(table), "--json"]) == 2
    out, err = capsys.readouterr()
    assert json.loads(out)["cars"][0]["runs"] == 4
    assert len(err.splitlines()) == len(json.loads(out)["problems"]) == 3
    assert "row 10, time is -10.4" in err


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"car,time_s\nA,10.4\nA,10.5\n", "one car"),
        (b"car,time_s\nA,dnf\nB,dnf\n", "none with a time"),
        (b"\x00\x01\x02\x03", "no text"),
        (b"", "empty"),
        (b"car,time_s\nA,-1\nB,0\n", "without a run"),
    ],
)
def test_what_cannot_be_answered(
    content: bytes, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "runs.csv"
    file.write_bytes(content)
    assert main(["compare", str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert words in err


def test_one_of_before_and_after_is_not_enough(
    table: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["compare", str(table), "--before", "A"]) == 2
    assert "--before" in capsys.readouterr().err


@pytest.mark.parametrize("command", [["compare"], ["gain", "--before", "A", "--after", "B"]])
def test_the_picture_holds_a_mark_for_each_run(
    command: list[str], table: Path, tmp_path: Path
) -> None:
    plot = tmp_path / "out.svg"
    assert main([command[0], str(table), *command[1:], "--plot", str(plot)]) == 0
    root = ElementTree.fromstring(plot.read_text(encoding="utf-8"))
    circles = root.findall(".//{http://www.w3.org/2000/svg}circle")
    assert len(circles) == 8 + 1


def test_order(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["order", "A", "B", "--runs", "4"]) == 0
    assert capsys.readouterr().out == "A, B, B, A, B, A, A, B.\n"
    assert main(["order", "A", "B", "--runs", "2", "--lanes", "2", "--json"]) == 0
    turns = json.loads(capsys.readouterr().out)["turns"]
    assert [(turn["car"], turn["lane"]) for turn in turns] == [
        ("A", 1),
        ("B", 2),
        ("B", 1),
        ("A", 2),
    ]
