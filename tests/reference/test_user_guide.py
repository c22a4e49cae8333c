from __future__ import annotations

import pytest

from hillbench.help import FOLDER as SOURCE
from hillbench.help import PAGES
from tests.reference.user_guide import FOLDER, pages


@pytest.mark.parametrize("name", pages())
def test_guide_on_disk_is_the_guide_in_the_app(name: str) -> None:
    """Run `python -m tests.reference.user_guide` when this fails."""
    assert (FOLDER / name).read_text(encoding="utf-8") == pages()[name]


def test_every_page_stands_in_the_guide_once() -> None:
    assert sorted(f"{name}.md" for name in PAGES) == sorted(f.name for f in SOURCE.glob("*.md"))
    assert {file.name for file in FOLDER.glob("*.md")} == set(pages())
