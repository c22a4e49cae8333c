from __future__ import annotations

import pytest

from hillbench.help import FOLDER as SOURCE
from tests.reference.user_guide import FOLDER, pages


@pytest.mark.parametrize("name", pages())
def test_guide_on_disk_is_the_guide_in_the_app(name: str) -> None:
    """Run `python -m tests.reference.user_guide` when this fails."""
    assert (FOLDER / name).read_text(encoding="utf-8") == pages()[name]


def test_no_page_is_left_out_of_the_guide() -> None:
    assert {file.name for file in SOURCE.glob("*.md")} == set(pages())
    assert {file.name for file in FOLDER.glob("*.md")} == set(pages())
