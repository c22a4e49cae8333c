"""Rows of a form: numbered afresh, added and taken away, nothing else touched."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from hillbench.web.form_rows import act_on_rows, rows_of, with_rows

BLANK = {"point": {"at": "", "value": ""}, "bend": {"from": "", "to": ""}}
ROWS = st.lists(st.fixed_dictionaries({"at": st.text(max_size=5), "value": st.text(max_size=5)}))
OTHERS = (("name", "Fern Hill"), ("bend_from_0", "3"), ("point_at", "no row"))


@given(ROWS)
def test_rows_read_back_as_written(rows: list[dict[str, str]]) -> None:
    pairs = with_rows(OTHERS, "point", rows)
    assert rows_of(pairs, "point") == rows
    assert pairs[: len(OTHERS)] == OTHERS


@given(ROWS)
def test_add_appends_one_blank_row(rows: list[dict[str, str]]) -> None:
    changed = act_on_rows(with_rows(OTHERS, "point", rows), "add_point", BLANK)
    assert changed is not None
    assert rows_of(changed, "point") == [*rows, BLANK["point"]]
    assert rows_of(changed, "bend") == [{"from": "3"}]


@given(ROWS.filter(bool), st.data())
def test_remove_takes_one_row_and_keeps_the_order(
    rows: list[dict[str, str]], data: st.DataObject
) -> None:
    gone = data.draw(st.integers(0, len(rows) - 1))
    changed = act_on_rows(with_rows(OTHERS, "point", rows), f"remove_point_{gone}", BLANK)
    assert changed is not None
    assert rows_of(changed, "point") == rows[:gone] + rows[gone + 1 :]


def test_gaps_in_the_numbers_do_not_matter() -> None:
    pairs = (("point_at_7", "b"), ("point_at_2", "a"), ("point_value_7", "c"))
    assert rows_of(pairs, "point") == [{"at": "a"}, {"at": "b", "value": "c"}]


def test_other_buttons_are_not_ours() -> None:
    for action in ("save", "add_roof", "remove_point", "remove_point_x", "add_point; drop"):
        assert act_on_rows(OTHERS, action, BLANK) is None
