from __future__ import annotations

import json

import pytest

from tests.reference.schemas import FOLDER, schemas


@pytest.mark.parametrize("name", schemas())
def test_schema_page_is_up_to_date(name: str) -> None:
    """Run `python -m tests.reference.schemas` when this fails."""
    assert (FOLDER / name).read_text(encoding="utf-8") == schemas()[name]


def test_every_field_of_the_question_says_what_it_is() -> None:
    schema = json.loads(schemas()["coast-question.schema.json"])
    for kind in (schema, *schema["$defs"].values()):
        silent = [
            name for name, field in kind["properties"].items() if not field.get("description")
        ]
        assert silent == []
