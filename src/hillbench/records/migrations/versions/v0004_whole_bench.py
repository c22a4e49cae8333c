"""Tests at the bench, drawer, builds, cavities, decals and meets, each in a module of its own."""

from __future__ import annotations

from types import ModuleType
from typing import Final

from hillbench.records.migrations.to_0004 import bench_tests, builds, cavity, decals, drawer, meet

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

PARTS: Final[tuple[ModuleType, ...]] = (bench_tests, builds, drawer, cavity, meet, decals)
"""Each has a function `upgrade`; in an order in which their tables may refer to each other."""


def upgrade() -> None:
    """Add what is new; what was there stays as it is."""
    for part in PARTS:
        part.upgrade()
