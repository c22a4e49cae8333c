"""`hillbench results`: a meet ranked from its table."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

import numpy as np
import pytest

from hillbench.cli.main import main
from hillbench.racing.heat_time import HeatTime
from hillbench.racing.timed_result import rank_by_time

CARS: Final = ("Sorrel", "Plum", "Grey 3", "Tern")
GAPS_S: Final = (0.0, 0.05, 0.08, 0.2)


def table() -> tuple[str, list[HeatTime]]:
    """Return an invented meet as text and as rows: the third heat was run again."""
    rng = np.random.default_rng(3)
    lines, rows = ["heat,lane,car,time_s,note,void"], []
    for heat in range(1, 9):
        for lane in range(1, 5):
            car = (heat + lane) % 4
            time_s = round(10.0 + GAPS_S[car] + 0.06 * (lane == 3) + rng.normal(0.0, 0.03), 3)
            void = "run again" if heat == 3 else ""
            lines.append(f"{heat},{lane},{CARS[car]},{time_s:.3f},clean,{void}")
            rows.append(HeatTime(heat, lane, car, time_s, bool(void)))
    gone = next(at for at, row in enumerate(rows) if row.heat == 8 and row.car == 3)
    lines[1 + gone] = f"8,{rows[gone].lane},Tern,,off track,"
    rows[gone] = HeatTime(8, rows[gone].lane, 3, None)
    return "\n".join(lines) + "\n", rows


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "meet.csv"
    path.write_text(table()[0], encoding="utf-8")
    return path


def test_answer_is_that_of_the_library(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = tmp_path / "meet.svg"
    assert main(["results", str(file), "--json", "--plot", str(drawing)]) == 0
    answer = json.loads(capsys.readouterr().out)
    timed = rank_by_time(table()[1], rng=np.random.default_rng(1))
    typical = {CARS[one.car]: one.typical_time_s for one in timed.standings}
    assert {one["car"]: one["typical_time_s"] for one in answer["cars"]} == pytest.approx(typical)
    assert [one["runs"] for one in answer["cars"]] == [7, 7, 7, 6]
    sums = {
        car: sum(
            row.time_s or 0.0
            for row in table()[1]
            if CARS[row.car] == car and not row.void
        )
        for car in CARS[:3]
    }  # fmt: skip
    scores = {one["car"]: one["score"] for one in answer["cars"][:3]}
    assert scores == pytest.approx(sums)
    assert answer["cars"][3]["car"] == "Tern"
    assert answer["cars"][3]["no_finishes"] == 1
    slow = max(answer["lanes"], key=lambda one: one["slower_s"])
    assert (slow["lane"], slow["differs"]) == (3, True)
    text = "".join(ElementTree.parse(drawing).getroot().itertext())
    assert all(car in text for car in CARS)


def test_it_reads_well(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["results", str(file), "--score", "drop worst", "--drop", "2"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Sorrel wins, and is the fastest car with")
    assert lines[2].split()[:2] == ["1", "Sorrel"]
    assert any(line.startswith("lane 3 is 0.0") and "slow" in line for line in lines)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("heat,lane,car,tim_s\n1,1,a,10\n", "did you mean 'time_s'?"),
        ("heat,lane,car\n1,1,a\n", "heading is without time_s"),
        ("heat,lane,car,time_s\n1,1,,10\n", "row 2, car is empty"),
        ("heat,lane,car,time_s\nx,1,a,10\n", "row 2, heat is 'x'"),
        ("heat,lane,car,time_s\n1,1,a,ten\n", "row 2, time_s"),
        ("heat,lane,car,time_s\n1,1,a,10\n", "times is 1 of them"),
        ("", "empty"),
    ],
)
def test_bad_tables(
    tmp_path: Path, text: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(text, encoding="utf-8")
    assert main(["results", str(path)]) == 2
    assert told in capsys.readouterr().err


def test_rules_that_are_none(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["results", str(file), "--score", "luck", "--ties", "coin"]) == 2
    told = capsys.readouterr().err.splitlines()
    assert told[0].startswith("score is 'luck'; allowed is one of: sum, mean, drop worst")
    assert told[1].startswith("ties is 'coin'")
    assert main(["results", str(file), "--points", "four"]) == 2
