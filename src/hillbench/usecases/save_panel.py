"""Keep a panel of a casting."""

from __future__ import annotations

import dataclasses
from datetime import datetime

from hillbench.decals.panel import Panel, check_panel
from hillbench.errors import InvalidInput, Problem
from hillbench.records import decal_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.decal_store import PanelRecord
from hillbench.records.names import clean_name
from hillbench.usecases.decal_documents import panel_document

_MOST_PANELS = 40


def save_panel(
    book: BenchBook, casting_id: int, panel: Panel, now: datetime, *, panel_id: int | None = None
) -> PanelRecord:
    """Add a panel to a casting, or change the one with number `panel_id`.

    Parameters
    ----------
    panel
        The panel.

    Raises
    ------
    InvalidInput
        If it cannot be used, or another panel of the casting has its name.
    NotFound
        If there is no such casting or panel.
    """
    problems = [
        dataclasses.replace(one, where=one.where.removeprefix("panel."))
        for one in check_panel(panel, "panel")
    ]
    if problems:
        raise InvalidInput(problems)
    panel = dataclasses.replace(panel, name=clean_name(panel.name))
    with book.write() as session:
        others = [one for one in decal_store.list_panels(session, casting_id) if one.id != panel_id]
        if any(str(one.panel["name"]).casefold() == panel.name.casefold() for one in others):
            allowed = "a name that no other panel of this casting has"
            raise InvalidInput([Problem("name", repr(panel.name), allowed, "choose another")])
        if len(others) >= _MOST_PANELS:
            seen = f"{len(others)} panels already"
            raise InvalidInput([Problem("panel", seen, f"at most {_MOST_PANELS} of a casting")])
        return decal_store.keep_panel(
            session, casting_id, panel_document(panel), now, panel_id=panel_id
        )
