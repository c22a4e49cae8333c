"""`hillbench warm-up`: compile ahead of the first run."""

from __future__ import annotations


def warm_up() -> None:
    """Compile and cache what the first run would wait for."""
    from hillbench.usecases.warm_up import warm_up as compute

    compute()
