"""A meet whose server is killed twenty times while an official enters heats.

Run with ``PYTHONPATH=src python -m benchmarks.meet_kills`` at the root. Stops with an error if
an acknowledged entry is missing, doubled or out of order after any of the kills.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.web.meet_killed import run_killed_meet

KILLS = 20
CARS = 120


def main() -> None:
    """Run it and print what was seen."""
    with tempfile.TemporaryDirectory() as folder:
        official = run_killed_meet(Path(folder), KILLS, CARS, seed=8)
    print(f"{KILLS} kills: {len(official.acknowledged)} heats acknowledged, all kept once")
    print(f"slowest acknowledgement {1000.0 * official.slowest_s:.0f} ms")


if __name__ == "__main__":
    main()
