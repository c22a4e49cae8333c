from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from hillbench.cli.main import main
from tests.usecases.fit_text import advice_bundle, fit_bundle


@pytest.mark.parametrize(
    ("command", "bundle", "keys"),
    [
        ("fit", fit_bundle(), {"status", "sentence", "notes", "unknowns", "odd_runs"}),
        ("advise", advice_bundle(), {"status", "sentence", "advice", "readings", "notes"}),
    ],
)
def test_json_and_picture(
    command: str,
    bundle: dict[str, object],
    keys: set[str],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    file, drawing = tmp_path / "bundle.json", tmp_path / "out.svg"
    file.write_text(json.dumps(bundle), encoding="utf-8")
    assert main([command, str(file), "--json", "--plot", str(drawing)]) == 0
    printed = capsys.readouterr()
    answer = json.loads(printed.out)
    assert keys <= set(answer)
    assert printed.err == ""
    assert ElementTree.parse(drawing).getroot().tag.endswith("svg")
    assert main([command, str(file)]) == 0
    assert capsys.readouterr().out.splitlines()[0] == answer["sentence"]


@pytest.mark.parametrize("command", ["fit", "advise"])
def test_each_problem_takes_one_line(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bundle = fit_bundle()
    bundle["runs"][0]["car"] = "Nobody"
    bundle["runs"][1]["car"] = "No one"
    file = tmp_path / "bundle.json"
    file.write_text(json.dumps(bundle), encoding="utf-8")
    assert main([command, str(file), "--json"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert [line.split(" is ")[0] for line in printed.err.splitlines()] == [
        "runs[0].car",
        "runs[1].car",
    ]
