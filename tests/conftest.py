"""What every test may use."""

from __future__ import annotations

from tests.outside.session import (
    outside,
    pytest_configure,
    pytest_sessionfinish,
    pytest_terminal_summary,
    pytest_testnodedown,
)

__all__ = [
    "outside",
    "pytest_configure",
    "pytest_sessionfinish",
    "pytest_terminal_summary",
    "pytest_testnodedown",
]
