"""The commands that carry a bench about."""

from __future__ import annotations

from pathlib import Path

import pytest

from hillbench.cli.main import main
from hillbench.records.bench_book import BenchBook
from tests.records.write_released import fill


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder with a bench, while working in another folder."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    with BenchBook.open(tmp_path / "data") as book:
        fill(book)
    return tmp_path / "data"


@pytest.mark.parametrize("command", ["backup", "export"])
def test_file_gets_a_name_with_the_date_and_none_is_overwritten(
    data: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--data", str(data), command]) == 0
    assert main(["--data", str(data), command]) == 0
    first, second = sorted(Path().iterdir(), key=lambda path: len(path.name))
    assert first.name.startswith(f"hillbench-{command}-20")
    assert second.name == first.stem + "-2.zip"
    assert capsys.readouterr().out.count(" written to ") == 2
    assert main(["--data", str(data), command, first.name]) == 1
    assert "is there already and was left as it is" in capsys.readouterr().err


def test_bench_moves_to_another_folder(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--data", str(data), "export", "bench.zip"]) == 0
    assert main(["--data", "new", "import", "bench.zip"]) == 0
    assert "3 cars, 1 tracks, 4 runs, 0 photos" in capsys.readouterr().out
    assert main(["--data", "new", "import", "bench.zip"]) == 1
    told = capsys.readouterr().err
    assert "already holds records" in told
    assert told.count("\n") == 1


def test_file_that_is_no_export(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Path("photo.zip").write_bytes(b"PK nonsense")
    assert main(["--data", str(data.parent / "new"), "import", "photo.zip"]) == 1
    assert capsys.readouterr().err.startswith("photo.zip is damaged, or no zip file; nothing was")
