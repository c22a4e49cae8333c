"""The commands for tests at the bench: one answer with the web app, one line for each problem."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from hillbench.cli.main import main


def spins(*rounds: tuple[str, list[float]]) -> dict[str, Any]:
    tests = [
        {"round": name, "wheel": wheel, "stop_times_s": times, "start_turns_per_s": [11.0]}
        for name, times in rounds
        for wheel in ("front left", "rear right")
    ]
    return {"wheel_diameter_mm": 10.5, "axle_diameter_mm": 1.0, "tests": tests}


def rolls() -> dict[str, Any]:
    ways = ((False, False, 31.0), (False, True, 25.0), (True, False, -28.0), (True, True, -33.0))
    return {
        "wheelbase_mm": 42.0,
        "rolls": [
            {"length_m": 2.0, "drift_mm": drift, "tail_first": tail, "back": back,
             "aim_uncertainty_deg": 0.1}
            for tail, back, drift in ways
        ],
    }  # fmt: skip


DRY, GRAPHITE = ("dry", [0.70, 0.71, 0.69]), ("graphite 1", [1.05, 1.06, 1.04])
AGAIN = ("graphite 2", [1.05, 1.055, 1.045])


@pytest.mark.parametrize(
    ("command", "question", "keys"),
    [
        ("spin", spins(DRY, GRAPHITE), {"verdict", "sentence", "bearing_friction", "wheels"}),
        ("roll", rolls(), {"sentence", "steer_deg", "front_deg", "probability_front"}),
    ],
)
def test_json_and_picture(
    command: str,
    question: dict[str, Any],
    keys: set[str],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    file, drawing = tmp_path / "asked.json", tmp_path / "out.svg"
    file.write_text(json.dumps(question), encoding="utf-8")
    assert main([command, str(file), "--json", "--plot", str(drawing)]) == 0
    printed = capsys.readouterr()
    answer = json.loads(printed.out)
    assert keys <= set(answer)
    assert printed.err == ""
    assert ElementTree.parse(drawing).getroot().tag.endswith("svg")
    assert main([command, str(file)]) == 0
    assert capsys.readouterr().out.splitlines()[0] == answer["sentence"]


def test_rounds_are_told_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "asked.json"
    verdicts = []
    for rounds in ((DRY,), (DRY, GRAPHITE), (DRY, GRAPHITE, AGAIN), (DRY, GRAPHITE, DRY)):
        file.write_text(json.dumps(spins(*rounds)), encoding="utf-8")
        assert main(["spin", str(file), "--json"]) == 0
        verdicts.append(json.loads(capsys.readouterr().out)["verdict"])
    assert verdicts == ["one round", "gained", "stop here", "worse"]


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"tests": []}, "tests"),
        ({"axle_diameter_mm": 20.0}, "axle_diameter_mm"),
        ({"front_load_share": 2.0}, "front_load_share"),
        ({"matters_share": 0.0}, "matters_share"),
        ({"wheel_diametre_mm": 3.0}, "wheel_diametre_mm"),
    ],
)
def test_what_cannot_be_takes_one_line(
    change: dict[str, Any], place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "asked.json"
    file.write_text(json.dumps({**spins(DRY), **change}), encoding="utf-8")
    assert main(["spin", str(file)]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    lines = printed.err.splitlines()
    assert len(lines) == 1
    assert lines[0].startswith(place)


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"wheel": "fifth"}, "tests[1].wheel"),
        ({"stop_times_s": [0.0]}, "tests[1].stop_times_s"),
        ({"turns": [9.0]}, "tests[1].turns"),
        ({"timed_by": "ear"}, "tests[1].timed_by"),
        ({"round": " "}, "tests[1].round"),
    ],
)
def test_the_test_that_cannot_be_is_named(
    change: dict[str, Any], place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    question, file = spins(DRY), tmp_path / "asked.json"
    question["tests"][1] |= change
    file.write_text(json.dumps(question), encoding="utf-8")
    assert main(["spin", str(file)]) == 2
    assert [line.split(" is ")[0] for line in capsys.readouterr().err.splitlines()] == [place]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"rolls": []}, "rolls is empty"),
        ({"wheelbase_mm": -1.0}, "wheelbase_mm is -1 mm"),
        ({"rolls": [{"length_m": 1.0, "drift_mm": 1200.0}]}, "drift_mm is 1200 mm in roll 1"),
        (
            {"rolls": [{"length_m": 1.0, "drift_mm": 1.0, "aim_uncertainty_deg": 99.0}]},
            "rolls[0].aim_uncertainty_deg is 99 deg",
        ),
    ],
)
def test_rolls_that_cannot_be(
    change: dict[str, Any], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "asked.json"
    file.write_text(json.dumps({**rolls(), **change}), encoding="utf-8")
    assert main(["roll", str(file)]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert [line[: len(told)] for line in printed.err.splitlines()] == [told]
