"""The checks that tools make: imports, style, format and types; each is one test."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house_rules.sources import ROOT

LINT_IMPORTS = "from importlinter.cli import lint_imports_command; lint_imports_command()"
COMMANDS = {
    "import contract": ["-c", LINT_IMPORTS, "--no-cache"],
    "style": ["-m", "ruff", "check", "."],
    "format": ["-m", "ruff", "format", "--check", "."],
    "types": ["-m", "mypy"],
}


def run(words: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *words],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


@pytest.mark.parametrize("check", COMMANDS)
def test_check_passes(check: str) -> None:
    done = run(COMMANDS[check], ROOT)
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"


@pytest.mark.parametrize(
    ("check", "file", "fault"),
    [
        ("style", "src/hillbench/units.py", "import os\n"),
        ("format", "src/hillbench/units.py", "x = (1\n)\n"),
        ("import contract", "src/hillbench/units.py", "import hillbench.cli.main\n"),
        ("import contract", "src/hillbench/coasting/run.py", "import random\n"),
        ("import contract", "src/hillbench/records/names.py", "import hillbench.pictures\n"),
    ],
)
def test_check_finds_a_fault(check: str, file: str, fault: str, tmp_path: Path) -> None:
    """Each check is proven on a copy of the package that has one fault."""
    shutil.copytree(
        ROOT / "src", tmp_path / "src", ignore=shutil.ignore_patterns("__pycache__", "*.pyc")
    )
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    path = tmp_path / file
    path.write_text(path.read_text(encoding="utf-8") + fault, encoding="utf-8")
    words = COMMANDS[check]
    if check == "import contract":
        here = "import sys; sys.path.insert(0, 'src'); "
        words = ["-c", here + LINT_IMPORTS, "--no-cache"]
    done = run(words, tmp_path)
    assert done.returncode == 1, f"{done.stdout}\n{done.stderr}"
    assert Path(file).stem in done.stdout + done.stderr


def test_every_rule_left_out_has_its_reason() -> None:
    lines = (ROOT / "pyproject.toml").read_text(encoding="utf-8").splitlines()
    start = lines.index("ignore = [")
    end = lines.index("]", start)
    block = lines[start + 1 : end]
    assert block
    # A rule of the same family may lean on the reason above it.
    family = ""
    for line in block:
        rule, _, reason = line.partition("#")
        code = rule.strip(' ",')
        assert reason.strip() or code[:2] == family, line
        family = code[:2]
    table = lines.index("[tool.ruff.lint.per-file-ignores]")
    for line in lines[table + 1 : lines.index("", table)]:
        assert "#" in line, line


def test_every_noqa_in_the_package_has_its_reason() -> None:
    for path in [*(ROOT / "src").rglob("*.py"), ROOT / "start.py"]:
        for line in path.read_text(encoding="utf-8").splitlines():
            if "# noqa" in line:
                assert "(" in line.partition("# noqa")[2], f"{path.name}: {line.strip()}"
