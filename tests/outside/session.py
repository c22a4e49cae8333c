"""How the checks of one test session come together, also from several processes."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any, Final

import pytest

from tests.outside.registry import PAGE, Check, Outside, differences, page, repeated_names

WRITE: Final = "HILLBENCH_WRITE_OUTSIDE_PAGE"
"""Environment variable that makes a session write the page; set by ``write_page`` alone."""

_KEPT: Final = pytest.StashKey[list[dict[str, Any]]]()
_SAID: Final = pytest.StashKey[list[str]]()


@pytest.fixture
def outside(request: pytest.FixtureRequest) -> Outside:
    """Return what asserts and keeps the checks of one test; its module names its `AREA`."""
    return Outside(request.module.AREA, request.config.stash[_KEPT])


def pytest_configure(config: pytest.Config) -> None:
    """Begin with no checks."""
    config.stash[_KEPT] = []
    config.stash[_SAID] = []


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any, error: object) -> None:
    """Take over the checks of a worker process that has ended."""
    del error
    kept = getattr(node, "workeroutput", {}).get("outside_checks", "[]")
    node.config.stash[_KEPT].extend(json.loads(kept))


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Hand the checks on, write the page, or compare the checks with the page."""
    config = session.config
    kept = config.stash[_KEPT]
    if hasattr(config, "workeroutput"):
        config.workeroutput["outside_checks"] = json.dumps(kept)
        return
    checks = [Check(**check) for check in kept]
    if not checks or exitstatus != pytest.ExitCode.OK:
        return
    said = config.stash[_SAID]
    said.extend(repeated_names(checks))
    if os.environ.get(WRITE) and not said:
        PAGE.parent.mkdir(exist_ok=True)
        PAGE.write_text(page(checks), encoding="utf-8")
        return
    written = PAGE.read_text(encoding="utf-8") if PAGE.exists() else ""
    said.extend(differences(checks, written, _is_complete(config)))
    if said:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Say what does not agree."""
    for sentence in config.stash[_SAID]:
        terminalreporter.write_line(f"outside checks: {sentence}", red=True)
    if config.stash[_SAID]:
        terminalreporter.write_line("write the page anew: python -m tests.outside.write_page")


def _is_complete(config: pytest.Config) -> bool:
    """Return whether every test of tests/outside was asked for and could run."""
    option = config.option
    narrowed = option.keyword or option.markexpr or getattr(option, "lf", False)
    here = Path(__file__).parent
    roots = [Path(config.invocation_params.dir, name).resolve() for name in config.args]
    covered = any(root == here or root in here.parents for root in roots)
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    skipped = bool(reporter and reporter.stats.get("skipped"))
    return covered and not narrowed and not skipped
