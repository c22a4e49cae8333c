"""Names and notes: any language, no control characters, nothing endless."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.records.names import LONGEST_NAME, clean_name, clean_note, name_key


@pytest.mark.parametrize(
    "name",
    [
        "No. 7",
        "Grün",
        "車 ☂",
        "👩‍🔧",
        "<script>alert(1)</script>",
        "'; DROP TABLE car; --",
        "%s {0} $x",
    ],
)
def test_any_language_and_any_markup_is_a_name(name: str) -> None:
    assert clean_name(f"  {name}\t") == name


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "empty"),
        (" \u200b\u2060 ", "empty"),
        ("x" * 5000, "5000 characters long; allowed is 1 to 200 characters"),
        ("a\x00b", r"U\+0000"),
        ("two\nlines", r"U\+000A"),
        ("a\u2028b", r"U\+2028"),
        ("gnp\u202e.exe", r"U\+202E"),
        ("\ud800x", r"U\+D800"),
    ],
)
def test_names_that_will_not_do_are_told_in_one_sentence(text: str, told: str) -> None:
    with pytest.raises(InvalidInput, match=told) as caught:
        clean_name(text)
    assert [problem.where for problem in caught.value.problems] == ["name"]
    assert len(str(caught.value)) < 200


def test_longest_name_counts_characters() -> None:
    assert clean_name("車" * LONGEST_NAME) == "車" * LONGEST_NAME
    with pytest.raises(InvalidInput):
        clean_name("車" * (LONGEST_NAME + 1))


def test_note_keeps_its_lines() -> None:
    assert clean_note("  one\r\ntwo\tthree\r") == "one\ntwo\tthree"
    with pytest.raises(InvalidInput, match="10001 characters"):
        clean_note("n" * 10_001)
    with pytest.raises(InvalidInput, match=r"U\+0007"):
        clean_note("bell \x07")


@given(st.text(max_size=60))
def test_what_is_accepted_is_storable_and_stays_as_it_is(text: str) -> None:
    try:
        name = clean_name(text)
    except InvalidInput:
        return
    assert name.encode()
    assert clean_name(name) == name
    assert not {unicodedata.category(letter) for letter in name} & {"Cc", "Cs", "Zl", "Zp"}


def test_same_name_in_other_letters_is_the_same() -> None:
    # Unicode Standard, default caseless matching: ß folds to ss, composed equals decomposed.
    assert name_key("STRASSE") == name_key("straße")
    assert name_key("Zoë") == name_key("ZOE\u0308")
    assert name_key("a") != name_key("b")
