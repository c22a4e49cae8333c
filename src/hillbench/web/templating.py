"""The template environment: everything escaped, nothing undefined."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from hillbench import __version__
from hillbench.web.assets import asset_url

FOLDER: Final = Path(__file__).parent / "templates"


@cache
def environment() -> Environment:
    """Return the environment; templates are compiled once."""
    made = Environment(
        loader=FileSystemLoader(FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        cache_size=-1,
    )
    made.globals["asset"] = asset_url
    made.globals["version"] = __version__
    made.filters["day"] = day
    made.filters["moment"] = moment
    made.filters["count"] = count
    return made


def day(at: datetime) -> str:
    """Return the day of a moment on this computer's clock: 25 Nov 2026."""
    local = at.astimezone()
    return f"{local.day} {local:%b %Y}"


def moment(at: datetime) -> str:
    """Return a moment on this computer's clock: 25 Nov 2026, 14:05."""
    return f"{day(at)}, {at.astimezone():%H:%M}"


def count(number: int, singular: str, plural: str = "") -> str:
    """Return a number with its noun: 1 car, 2 cars, no cars."""
    noun = singular if number == 1 else plural or f"{singular}s"
    return f"{number or 'no'} {noun}"
