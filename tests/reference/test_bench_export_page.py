"""The page about the exported bench names every part, quantity and note there is."""

from __future__ import annotations

import json

from hillbench.records.bench_file import FILE_SCHEMA, FORMAT
from hillbench.records.bench_rows import PARTS
from hillbench.records.entities import RunNote
from hillbench.records.quantities import QUANTITIES
from tests.reference.schemas import FOLDER, schemas


def test_page_names_everything() -> None:
    page = (FOLDER / "bench-export.md").read_text(encoding="utf-8")
    for word in (*PARTS, *QUANTITIES, *RunNote, FORMAT):
        assert f"`{word}`" in page, word
    assert f"now {FILE_SCHEMA}." in page


def test_every_field_says_what_it_is() -> None:
    schema = json.loads(schemas()["bench-export.schema.json"])
    for kind in (schema, *schema["$defs"].values()):
        assert kind.get("description")
        silent = [
            name
            for name, field in kind.get("properties", {}).items()
            if not field.get("description")
        ]
        assert silent == []
