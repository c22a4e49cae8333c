"""The command line's frame: exit statuses, error lines, help, and what gets imported."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from hillbench import __version__
from hillbench.cli import main as frame
from hillbench.cli.settings import settings_of
from hillbench.errors import InvalidInput, NotFound, Problem

ROOT = Path(__file__).parents[2]
SLOW_TO_IMPORT = (
    "numpy",
    "numba",
    "scipy",
    "sqlalchemy",
    "fastapi",
    "jinja2",
    "PIL",
    "shapely",
    "fontTools",
    "ezdxf",
    "svgelements",
    "reportlab",
)


def two_problems() -> None:
    """Fail on two fields.

    Raises
    ------
    InvalidInput
        Always.
    """
    raise InvalidInput([Problem("car.mass_g", "-1\ng", "more"), Problem("car.name", "''", "one")])


def not_there() -> None:
    raise NotFound("car", 7)


def unreadable() -> None:
    Path("no such folder/track.json").read_text(encoding="utf-8")


def interrupted() -> None:
    raise KeyboardInterrupt


def reader_gone() -> None:
    raise BrokenPipeError(errno.EPIPE, "Broken pipe")


def mistaken() -> None:
    raise ZeroDivisionError


def shows_data(context: typer.Context, count: int = 1) -> None:
    typer.echo(f"{settings_of(context).data_folder} {count}")


SAMPLES = (
    two_problems,
    not_there,
    unreadable,
    interrupted,
    reader_gone,
    mistaken,
    shows_data,
)


@pytest.fixture(autouse=True)
def _sample_commands(monkeypatch: pytest.MonkeyPatch) -> None:
    commands = {sample.__name__: f"{__name__}:{sample.__name__}" for sample in SAMPLES}
    monkeypatch.setattr(frame, "COMMANDS", commands)


def test_bad_input_is_status_2_with_one_line_for_each_problem(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert frame.main(["two_problems"]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.splitlines() == [
        "car.mass_g is -1 g; allowed is more.",
        "car.name is ''; allowed is one.",
    ]


@pytest.mark.parametrize(
    ("words", "status", "line"),
    [
        (["not_there"], 1, "There is no car '7' in this bench book."),
        (["unreadable"], 1, "track.json: No such file or directory."),
        (["shows_data", "--count", "many"], 2, "'--count'"),
        (["not_ther"], 2, "Did you mean 'not_there'?"),
        (["--dta", "x"], 2, "No such option: --dta"),
    ],
)
def test_expected_errors_are_one_line_without_traceback(
    words: list[str], status: int, line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert frame.main(words) == status
    (shown,) = capsys.readouterr().err.splitlines()
    assert line in shown


def test_ctrl_c_is_quiet(capsys: pytest.CaptureFixture[str]) -> None:
    assert frame.main(["interrupted"]) == 130
    assert capsys.readouterr().err.strip() == ""


def test_a_reader_that_left_is_quiet(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdout", sys.stdout)
    monkeypatch.setattr(sys, "stderr", sys.stderr)
    assert frame.main(["reader_gone"]) == 1
    assert capsys.readouterr().err == ""


def test_a_mistake_of_ours_keeps_its_traceback() -> None:
    with pytest.raises(ZeroDivisionError):
        frame.main(["mistaken"])


def test_data_folder_reaches_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert frame.main(["--data", "elsewhere", "shows_data"]) == 0
    assert frame.main(["shows_data"]) == 0
    assert capsys.readouterr().out.splitlines() == ["elsewhere 1", "None 1"]


def test_help_ends_before_the_sections_of_the_docstring(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert frame.main(["two_problems", "--help"]) == 0
    shown = capsys.readouterr().out
    assert "Fail on two fields." in shown
    assert "Raises" not in shown


@pytest.mark.parametrize("words", [["--version"], ["--help"], []])
def test_version_and_help_are_quick_to_load(words: list[str]) -> None:
    program = (
        "import sys; from hillbench.cli.main import main; status = main(sys.argv[1:]); "
        f"print([name for name in {SLOW_TO_IMPORT} if name in sys.modules]); sys.exit(status)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, *words],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
    )
    assert done.stdout.splitlines()[-1] == "[]"
    assert ("hillbench " + __version__ if words == ["--version"] else "Usage") in done.stdout


def test_every_command_listed_exists(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    for name, target in frame.COMMANDS.items():
        module_name, _, function_name = target.partition(":")
        module = __import__(module_name, fromlist=[function_name])
        assert callable(getattr(module, function_name)), name
        assert getattr(module, function_name).__doc__, name
