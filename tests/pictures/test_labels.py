from __future__ import annotations

import itertools

from hypothesis import given
from hypothesis import strategies as st

from hillbench.pictures.labels import stack_in_rows, text_width_px, without_overlap, wrapped

WORDS = st.lists(st.tuples(st.floats(0.0, 900.0), st.floats(5.0, 120.0)), min_size=1, max_size=25)


@given(WORDS)
def test_words_in_one_row_never_touch(words: list[tuple[float, float]]) -> None:
    centres, widths = zip(*words, strict=True)
    placed = stack_in_rows(centres, widths, (0.0, 900.0))
    assert sorted(item.index for item in placed) == list(range(len(words)))
    for one, other in itertools.combinations(placed, 2):
        if one.row == other.row:
            apart = abs(one.centre_px - other.centre_px)
            assert apart >= (widths[one.index] + widths[other.index]) / 2.0 + 5.99
    for item in placed:
        half = widths[item.index] / 2.0
        assert item.centre_px - half >= -1e-9
        assert item.centre_px + half <= 900.0 + 1e-9


@given(WORDS)
def test_words_that_stay_never_touch(words: list[tuple[float, float]]) -> None:
    centres, widths = zip(*words, strict=True)
    kept = without_overlap(centres, widths)
    assert kept[0] == 0
    for one, other in itertools.combinations(kept, 2):
        assert abs(centres[one] - centres[other]) >= (widths[one] + widths[other]) / 2.0


@given(st.text(max_size=300), st.floats(50.0, 900.0))
def test_wrapped_lines_keep_every_word_and_the_width(text: str, width_px: float) -> None:
    lines = wrapped(text, width_px, 20.0)
    assert " ".join(lines).split() == text.split()
    for line in lines:
        assert text_width_px(line, 20.0) <= width_px or len(line.split()) == 1
