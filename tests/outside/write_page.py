"""Write docs/outside-checks.md from a run of the checks: ``python -m tests.outside.write_page``."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from tests.outside.session import WRITE

if __name__ == "__main__":
    os.environ[WRITE] = "1"
    sys.exit(pytest.main([str(Path(__file__).parent), "-p", "no:cacheprovider"]))
