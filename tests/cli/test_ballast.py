from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import html5lib
import pytest

from hillbench.cli.main import main

CAR: dict[str, Any] = {
    "wheelbase_mm": 20.0,
    "limit_g": 20.3,
    "scale_guard_g": 0.0,
    "cg": {"window_ahead_of_rear_axle": [0.3, 0.5], "side_max_mm": 0.5},
    "fixed": [{"name": "body", "mass_g": 20.0, "x_mm": 9.0, "y_mm": 0.0, "z_mm": 5.0}],
    "cavity": {
        "x_mm": [0, 8],
        "y_mm": [-1, 1],
        "floor_z_mm": 1.0,
        "ceiling": [{"name": "roof", "kind": "profile", "from": [0, 3], "to": [8, 3]}],
    },
    "stock": [{"name": "bar", "mass_g": 0.15, "size_mm": [4, 2, 2], "count": 4}],
    "grid_mm": 2.0,
}
KEYS = {
    *("status", "bound_g", "placements", "putty", "total_g", "cg_ahead_of_rear_axle"),
    *("cg_side_mm", "cg_height_mm", "steps", "why_not"),
}


def run(capsys: pytest.CaptureFixture[str], path: Path, *words: str) -> tuple[int, str, str]:
    status = main(["ballast", str(path), *words])
    told = capsys.readouterr()
    return status, told.out, told.err


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "car.json"
    path.write_text(json.dumps(CAR), encoding="utf-8")
    return path


def test_answer_has_the_keys_of_the_format(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two bars fill the cavity: 20.3 g, (20*9 + 0.15*2 + 0.15*6) / 20.3 / 20 of the wheelbase."""
    status, out, err = run(capsys, file, "--json")
    answer = json.loads(out)
    assert (status, err) == (0, "")
    assert set(answer) >= KEYS
    assert answer["status"] == "proven best"
    assert answer["total_g"] == answer["bound_g"] == 20.3
    assert math.isclose(answer["cg_ahead_of_rear_axle"], 181.2 / 20.3 / 20)
    assert [one["size_mm"] for one in answer["placements"]] == [[4.0, 2.0, 2.0]] * 2
    assert [one["rests_on"] for one in answer["placements"]] == ["floor", "floor"]
    assert answer["why_not"] is None
    assert answer["putty"] is None


def test_words_and_picture(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plot = tmp_path / "plan.svg"
    status, out, _ = run(capsys, file, "--plot", str(plot))
    assert status == 0
    assert out.startswith("20.30 g with 2 pieces, proven best")
    picture = html5lib.parse(plot.read_text(encoding="utf-8"), treebuilder="etree")
    numbers = [mark for mark in picture.iter() if mark.get("data-mark") == "piece"]
    assert [mark.text for mark in numbers] == ["1", "2"]


@pytest.mark.parametrize(
    ("change", "words", "sentence"),
    [
        ({}, ["--time-limit", "0"], "--time-limit is 0 s"),
        ({"limit_g": 10}, [], "limit_g is 10 g"),
        ({"limits_g": 10}, [], "did you mean limit_g?"),
        ({"stock": []}, [], "stock is empty"),
        ({"cavity": {**CAR["cavity"], "roof": 1}}, [], "cavity.roof is an unknown key"),
    ],
)
def test_bad_input(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    change: dict[str, Any],
    words: list[str],
    sentence: str,
) -> None:
    path = tmp_path / "car.json"
    path.write_text(json.dumps(CAR | change), encoding="utf-8")
    status, out, err = run(capsys, path, *words)
    assert (status, out) == (2, "")
    assert sentence in err
    assert err.count("\n") == 1
