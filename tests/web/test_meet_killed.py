"""The server killed in the middle of a meet loses nothing it had acknowledged."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.web.meet_killed import run_killed_meet


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL")
def test_a_killed_server_goes_on_in_the_same_heat(tmp_path: Path) -> None:
    official = run_killed_meet(tmp_path, kills=1, cars=16, seed=3)
    assert len(official.acknowledged) == 16
