"""What an item of the drawer is, in a few words."""

from __future__ import annotations

from typing import Any

from hillbench.records.drawer_entities import DrawerItem, ItemKind
from hillbench.web.showing import Showing


def details_words(item: DrawerItem, show: Showing) -> str:
    """Return the sizes and the mass of an item in words.

    Parameters
    ----------
    item
        The item.
    show
        Writes quantities as the reader prefers them.
    """
    details = item.details
    parts = [*_of_kind(item.kind, details, show)]
    if details.get("mass_g") is not None and item.mass_g is not None:
        parts.append(str(show.mass(item.mass_g).trimmed()))
    return ", ".join(part for part in parts if part)


def _of_kind(kind: ItemKind, details: dict[str, Any], show: Showing) -> list[str]:
    if kind is ItemKind.BALLAST_PIECE:
        strip = ["strip, cut to length"] if details.get("strip") else []
        sizes = details.get("size_mm", ())
        return [str(details.get("metal", "")), _sizes(sizes, show), *strip]
    if kind is ItemKind.SCREW:
        length = _length(details.get("length_mm"), show)
        return [f"{details.get('thread', '')} × {length}", str(details.get("head", ""))]
    if kind is ItemKind.FILM:
        sizes = [details[name] for name in ("width_mm", "height_mm") if name in details]
        return [f"{details.get('film', '')} film", _sizes(sizes, show)]
    return [_length(details.get("diameter_mm"), show)]


def _sizes(sizes: Any, show: Showing) -> str:  # noqa: ANN401 (numbers out of JSON)
    texts = [show.length(float(size)).trimmed().first for size in sizes]
    if not texts:
        return ""
    return " × ".join(text.number for text in texts) + f" {texts[-1].unit}"


def _length(length_mm: Any, show: Showing) -> str:  # noqa: ANN401 (a number out of JSON)
    return "" if length_mm is None else str(show.length(float(length_mm)).trimmed())
