from __future__ import annotations

from pathlib import Path

import pytest

from hillbench.cli.main import main
from tests.sheets.pdf_reading import text
from tests.usecases.builds import begun, bench
from tests.usecases.meets import open_meet, run_all


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("print")
    with bench(place / "bench") as held:
        assert begun(held) == 1
        run_all(held.book, open_meet(held.book, 4))
    return place / "bench"


def test_each_kind_is_printed(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    heads = {"sheet.pdf": b"%PDF", "sheet.svg": b"<svg", "card.png": b"\x89PNG"}
    words = {
        "sheet.pdf": ["build-sheet", "1", "--address", "http://10.0.0.5:8064/"],
        "sheet.svg": ["bench-card", "1", "--page", "2", "--paper", "Letter"],
        "card.png": ["share-card", "1"],
    }
    for name, head in heads.items():
        out = tmp_path / name
        assert main(["--data", str(folder), "print", *words[name], "--out", str(out)]) == 0
        assert out.read_bytes().startswith(head)
        assert capsys.readouterr().out == f"Printed to {out}.\n"
    assert "10.0.0.5:8064/builds/1" in text((tmp_path / "sheet.pdf").read_bytes())


def test_labels_of_named_items(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"
    words = ["print", "labels", "1", "2", "--paper", "label", "--out", str(out)]
    assert main(["--data", str(folder), *words]) == 0
    data = out.read_bytes()
    assert "quarter ounce" in text(data, 0)
    assert "2-56" in text(data, 1)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ["poster", "1"],
            "one of: build-sheet, bench-card, labels, share-card, heat-sheet, results",
        ),
        (["build-sheet", "1", "--out", "x.doc"], "a name ending in .pdf or .svg"),
        (["share-card", "1", "--out", "x.pdf"], "a name ending in .png"),
        (["build-sheet"], "the number of one build or meet"),
        (["build-sheet", "1", "--paper", "A3"], "one of: A4, Letter"),
        (["build-sheet", "1", "--address", "10.0.0.5"], "such as http://192.168.1.23:8064"),
        (["bench-card", "1", "--page", "9", "--out", "x.svg"], "page is 9; allowed is 1 to"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_written(
    folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: list[str],
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["--data", str(folder), "print", *words]) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_build_that_is_not_there(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "x.pdf"
    assert main(["--data", str(folder), "print", "build-sheet", "77", "--out", str(out)]) == 1
    assert "no build '77'" in capsys.readouterr().err
    assert not out.exists()


@pytest.mark.parametrize(
    ("what", "said"),
    [("heat-sheet", "Lane 1"), ("results", "Car 1"), ("certificates", "First place")],
)
def test_sheets_of_a_meet(folder: Path, tmp_path: Path, what: str, said: str) -> None:
    out = tmp_path / "meet.pdf"
    assert main(["--data", str(folder), "print", what, "1", "--out", str(out)]) == 0
    assert said in text(out.read_bytes())
