"""The user's guide in docs/user: the same pages that the app shows.

`python -m tests.reference.user_guide` writes them.
"""

from __future__ import annotations

from pathlib import Path

from hillbench.help import FOLDER as SOURCE
from hillbench.help import PAGES

FOLDER = Path(__file__).parents[2] / "docs" / "user"


def pages() -> dict[str, str]:
    """Return the text of each page by file name."""
    return {f"{name}.md": (SOURCE / f"{name}.md").read_text(encoding="utf-8") for name in PAGES}


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, text in pages().items():
        (FOLDER / name).write_text(text, encoding="utf-8")
