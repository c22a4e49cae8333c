from __future__ import annotations

from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from hillbench.errors import InvalidInput
from hillbench.sheets import font
from hillbench.sheets.path import bounds_mm

LETTERS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=60)


def test_digits_are_of_one_width() -> None:
    assert len({font.width_mm(digit, 10.0) for digit in "0123456789"}) == 1


@pytest.mark.parametrize("name", list(font.FONTS))
def test_widths_agree_with_another_library(name: str) -> None:
    drawn = ImageFont.truetype(
        BytesIO(font.find_face(name).data), 1000, layout_engine=ImageFont.Layout.BASIC
    )
    for words in ("Ballast 7.087 g", "Ö ≤ − ½ µm", "WAVE fi"):
        assert font.width_mm(words, 1000.0, name) == pytest.approx(drawn.getlength(words), abs=2.0)


def test_outlines_fill_the_width_they_are_given() -> None:
    left, top, right, bottom = bounds_mm(font.outline("HH", 10.0))
    assert 0.0 < left < right < font.width_mm("HH", 10.0)
    assert top == pytest.approx(-10.0 * font.CAP_HEIGHT)
    assert bottom == pytest.approx(0.0)


def test_what_the_font_lacks_is_replaced_in_sight() -> None:
    assert font.shown_text("Ø 5 = ⌀ 5") == "Ø 5 = Ø 5"
    assert font.shown_text("車 7") == "□ 7"
    assert font.shown_text("ﬀ\u200d\x07") in {"ff", "ﬀ"}
    assert font.shown_text("a\u0308") == "ä"


@given(LETTERS, st.floats(3.0, 80.0))
def test_lines_fit_and_lose_nothing(words: str, room_mm: float) -> None:
    lines = font.wrap(words, room_mm, 3.0)
    for line in lines:
        assert len(font.shown_text(line)) <= 1 or font.width_mm(line, 3.0) <= room_mm + 1e-9
    assert "".join("".join(lines).split()) == "".join(words.split())


@given(LETTERS, st.floats(5.0, 80.0))
def test_shortened_words_fit(words: str, room_mm: float) -> None:
    assert font.width_mm(font.shorten(words, room_mm, 3.0), 3.0) <= room_mm + 1e-9


def test_line_breaks_are_kept() -> None:
    assert font.wrap("one\n\ntwo", 50.0, 3.0) == ["one", "", "two"]


def test_a_font_that_is_not_there() -> None:
    with pytest.raises(InvalidInput, match="regular, bold"):
        font.width_mm("a", 3.0, "fancy")
