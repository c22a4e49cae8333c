"""Version, changelog and locked packages agree with each other."""

from __future__ import annotations

import re
import tomllib

from hillbench import __version__
from tests.house_rules.sources import ROOT

_ENTRY = re.compile(r"^## \[?(?P<version>[^\]\s]+)", re.MULTILINE)
_PIN = re.compile(r"^(?P<name>[\w.-]+)==(?P<version>\S+)(?: ; (?P<marker>.*?))? \\$", re.MULTILINE)


def lock(name: str) -> tuple[str, set[tuple[str, str]]]:
    text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
    return text, {(pin["name"], pin["version"]) for pin in _PIN.finditer(text)}


def test_newest_entry_of_the_changelog_is_this_version() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    newest = next(entry["version"] for entry in _ENTRY.finditer(text))
    assert newest == __version__


def test_test_lock_holds_the_whole_app_lock() -> None:
    _, app = lock("app")
    _, everything = lock("test")
    assert len(app) > 20
    assert app <= everything


def test_every_declared_package_is_locked() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    _, app = lock("app")
    _, everything = lock("test")
    assert declared(project["dependencies"]) <= {name for name, _ in app}
    extra = declared(project["optional-dependencies"]["test"])
    assert extra <= {name for name, _ in everything}


def declared(requirements: list[str]) -> set[str]:
    names = {re.split(r"[<>=!;\[ ]", requirement)[0] for requirement in requirements}
    return {re.sub(r"[-_.]+", "-", name).lower() for name in names}


def test_every_locked_package_has_a_hash() -> None:
    for name in ("app", "test"):
        text, _ = lock(name)
        entries = re.split(r"^(?=[a-z0-9])", text, flags=re.MULTILINE)[1:]
        assert entries
        for entry in entries:
            assert "--hash=sha256:" in entry, entry.splitlines()[0]
