"""Where the browser for the browser tests comes from, without fetching one."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from tests import provide_browser as source

PYTHON = Path("python")


@pytest.fixture(autouse=True)
def _bare_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine without a browser and without rights to install one."""
    monkeypatch.delenv(source.VARIABLE, raising=False)
    monkeypatch.setattr(shutil, "which", lambda _name: None)
    monkeypatch.setattr(source, "_PLACES", ())
    monkeypatch.setattr(source, "_DOWNLOADS", ())


@pytest.fixture
def commands(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """The installers asked, each of which fails."""
    asked: list[list[str]] = []

    def fails(command: list[str], _environment: dict[str, str]) -> bool:
        asked.append(command)
        return False

    monkeypatch.setattr(source, "_succeeds", fails)
    return asked


def test_a_named_browser_comes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: f"/bin/{name}")
    assert source.find_browser() == "/bin/chromium"
    monkeypatch.setenv(source.VARIABLE, "mine")
    assert source.find_browser() == "mine"


def test_a_downloaded_browser_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shell = tmp_path / "ms-playwright" / "chromium_headless_shell-1" / "linux" / "headless_shell"
    shell.parent.mkdir(parents=True)
    shell.touch()
    monkeypatch.setattr(source, "_DOWNLOADS", (str(tmp_path),))
    assert source.find_browser() == str(shell)


def test_without_a_browser_it_is_said_and_the_tests_go_on(
    commands: list[list[str]], capsys: pytest.CaptureFixture[str]
) -> None:
    assert source.provide_browser(PYTHON, {}) == ""
    assert commands == [["python", "-m", "playwright", "install", "chromium-headless-shell"]]
    assert "the browser tests are skipped" in capsys.readouterr().out


@pytest.mark.skipif(os.name != "posix", reason="apt-get is asked on Linux only")
def test_root_on_debian_asks_apt_first_then_playwright(
    commands: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(shutil, "which", lambda name: name if name == "apt-get" else None)
    source.provide_browser(PYTHON, {})
    assert [command[0] for command in commands] == ["apt-get", "python"]
