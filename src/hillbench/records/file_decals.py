"""Panels, art and liveries in an exported bench."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any, Final

from pydantic import AwareDatetime

from hillbench.errors import Problem
from hillbench.records.document import Document, Id, Named, Removable

_LARGEST: Final = 40_000_000
"""Characters of one scheme or piece of art."""


class DecalPanel(Removable):
    """One panel of a casting."""

    casting_id: Id
    """The casting."""
    name: str
    """What it is called."""
    panel: dict[str, Any]
    """As in the file of `hillbench decals`."""
    changed_at: AwareDatetime
    """When it was last changed."""


class DecalArt(Named):
    """A piece of art, already made safe: shapes in mm, or a PNG of ours."""

    content: dict[str, Any]
    """``fills`` (colour, part and rings) and ``pixels`` (PNG in base64, size and box)."""


class Livery(Named):
    """A scheme of decals for a casting."""

    casting_id: Id
    """The casting."""
    scheme: dict[str, Any]
    """As in the file of `hillbench decals`, without panels."""


def check_decals(
    panels: Sequence[DecalPanel], arts: Sequence[DecalArt], liveries: Sequence[Livery]
) -> Iterator[Problem]:
    """Yield what the app would not have let anyone enter.

    Parameters
    ----------
    panels, arts, liveries
        As in the file.
    """
    parts: list[tuple[str, Sequence[Document], str]] = [
        ("decal_panels", panels, "panel"),
        ("decal_art", arts, "content"),
        ("liveries", liveries, "scheme"),
    ]
    for part, things, field in parts:
        for index, thing in enumerate(things):
            size = len(json.dumps(getattr(thing, field)))
            if size > _LARGEST:
                yield Problem(f"{part}[{index}].{field}", f"{size} characters", f"{_LARGEST}")
