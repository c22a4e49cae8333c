"""Print labels for the drawer."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import TYPE_CHECKING, Final

from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import DrawerItem
from hillbench.usecases.list_drawer import list_drawer, show_item

if TYPE_CHECKING:
    from hillbench.sheets.drawer_label import LabelContent
    from hillbench.sheets.drawing import Drawing

LABEL_PAPER: Final = "label"
"""Paper of a label printer: one label each page."""

_WORDS: Final = ("metal", "thread", "head", "film")


def draw_labels(
    book: BenchBook,
    item_ids: Collection[int],
    address_of: Callable[[int], str],
    paper: str,
) -> Drawing:
    """Return labels of items of the drawer, of all of them where none is named.

    Parameters
    ----------
    item_ids
        Numbers of the items.
    address_of
        Gives the address of an item's page, as a phone reaches it; empty where it cannot.
    paper
        ``A4``, ``Letter`` or `LABEL_PAPER`.

    Raises
    ------
    InvalidInput
        If the paper is not known.
    NotFound
        If there is no such item.
    """
    from hillbench.sheets.drawer_label import LABEL, label_page
    from hillbench.sheets.page import find_page_size

    size = LABEL if paper == LABEL_PAPER else find_page_size(paper)
    drawer = list_drawer(book)
    items = [show_item(book, item_id).item for item_id in item_ids] or drawer.items
    labels = [label_of(item, drawer.currency, address_of(item.id)) for item in items]
    return label_page(labels, size)


def label_of(item: DrawerItem, currency: str, address: str) -> LabelContent:
    """Return what the label of an item says."""
    from hillbench.sheets.drawer_label import LabelContent

    lines = [_sizes(item)]
    if item.unit_price is not None:
        lines.append(f"{item.unit_price:.2f} {currency} a {item.unit}")
    if item.reorder_level is not None:
        level = item.reorder_level
        lines.append(f"buy more at {item.unit.amount(level)}" if level else "buy more when empty")
    if item.supplier_note:
        lines.append(item.supplier_note)
    return LabelContent(str(item.kind), item.name, tuple(line for line in lines if line), address)


def _sizes(item: DrawerItem) -> str:
    """Return what is known of an item's size and mass, in a few words."""
    details = item.details
    parts = [str(details[name]) for name in _WORDS if details.get(name)]
    sides = details.get("size_mm") or [details.get(name) for name in ("width_mm", "height_mm")]
    if all(isinstance(side, int | float) for side in sides):
        parts.append(" × ".join(f"{side:g}" for side in sides) + " mm")
    for name, word in (("length_mm", "long"), ("diameter_mm", "across")):
        if isinstance(details.get(name), int | float):
            parts.append(f"{details[name]:g} mm {word}")
    if isinstance(details.get("mass_g"), int | float):
        parts.append(f"{details['mass_g']:g} g")
    return ", ".join(parts)
