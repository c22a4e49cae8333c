"""The user's guide as packaged Markdown: one source for the app and for the documentation.

A page is a file ``<name>.md`` in this folder whose first line is its title (``# Title``).
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).parent

PAGES: Final = (
    "first-hour",
    "measuring-a-car",
    "measuring-a-cavity",
    "placing-weight",
    "opening-and-closing",
    "decals",
    "building",
    "drawer",
    "free-and-straight",
    "printing",
    "timing",
    "clock",
    "first-race-day",
    "league",
    "what-to-try-next",
    "what-the-numbers-mean",
)
"""Names of the pages, in the order they are read."""


@dataclass(frozen=True, slots=True)
class HelpPage:
    """One page of the guide.

    Attributes
    ----------
    name
        Name of its file, without the ending.
    title
        From its first line.
    body
        Markdown after the first line.
    """

    name: str
    title: str
    body: str


def read_help(name: str) -> HelpPage:
    """Return one page of the guide; `name` must be one of `PAGES`."""
    first, _, body = (FOLDER / f"{name}.md").read_text(encoding="utf-8").partition("\n")
    return HelpPage(name, first.removeprefix("# ").strip(), body)
