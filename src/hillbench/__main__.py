"""Entry of ``python -m hillbench``."""

from __future__ import annotations

import sys

from hillbench.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
