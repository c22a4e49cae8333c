"""What every test may use."""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program does; before NumPy loads

from hypothesis import settings

from tests.databases import database, server
from tests.made_once import empty_database, made_once
from tests.outside.session import (
    outside,
    pytest_configure,
    pytest_sessionfinish,
    pytest_terminal_summary,
    pytest_testnodedown,
)

__all__ = [
    "database",
    "empty_database",
    "made_once",
    "outside",
    "pytest_configure",
    "pytest_sessionfinish",
    "pytest_terminal_summary",
    "pytest_testnodedown",
    "server",
]

# The same examples each time: a failure is found where it is made, and again when it is sought.
settings.register_profile("seeded", derandomize=True)
settings.load_profile("seeded")
