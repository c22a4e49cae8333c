"""Records are tested with databases made as the app makes them, each anew."""

from __future__ import annotations

import pytest


@pytest.fixture(scope="module", autouse=True)
def made_once() -> None:
    """Let every new bench book be made by the migrations."""
