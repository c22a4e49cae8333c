"""A judged livery and a planned sheet as they are drawn on pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from markupsafe import Markup

from hillbench.decals.artwork import Artwork, Box, Fill, colours_of, mapped
from hillbench.decals.colour import Colour, parse_colour
from hillbench.decals.cut_line import cut_line
from hillbench.decals.draw_item import DARK, draw_item
from hillbench.decals.item import Place, check_item
from hillbench.decals.nest import Spot
from hillbench.decals.panel import Panel
from hillbench.decals.placing import placed_shape
from hillbench.decals.prints import Piece
from hillbench.errors import InvalidInput
from hillbench.pictures.decal_page import OnSheet, item_picture, page_picture
from hillbench.pictures.decal_panels import OnPanel, panels_picture
from hillbench.sheets.decal_sheet import FOOT_MM
from hillbench.usecases.plan_decals import DecalPlan, Judged
from hillbench.usecases.show_livery import LiveryView
from hillbench.web.decal_item_form import item_of
from hillbench.web.form_rows import Pairs
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.preferences import Preferences
from hillbench.web.showing import Showing

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Urls = Mapping[str, str]
"""Address of the picture of each art that has one, by name."""


def panels_shown(panels: Sequence[Panel], key: str = "panels") -> Pictured:
    """Return the bare panels in three widths."""
    return pictured(lambda width, name: panels_picture(panels, (), width, name), key)


def livery_shown(view: LiveryView, urls: Urls, key: str = "livery") -> Pictured:
    """Return the panels before and after in three widths.

    Parameters
    ----------
    view
        The livery.
    urls
        Address of each picture of pixels.
    key
        Name of the picture.
    """
    pieces = on_panels(view, urls)
    panels = view.question.panels
    return pictured(lambda width, name: panels_picture(panels, pieces, width, name), key)


def on_panels(view: LiveryView, urls: Urls) -> tuple[OnPanel, ...]:
    """Return every piece where it lies on its panel.

    Parameters
    ----------
    view
        The livery.
    urls
        Address of each picture of pixels.
    """
    items = list(view.question.items)
    found = []
    for judged in view.judged:
        place, panel = judged.piece.place, judged.panel
        if place is None or panel is None:
            continue
        number = items.index(judged.piece.item)
        at = items[number].places.index(place)
        found.append(_on_panel(view, judged, place, urls, (number, at)))
    return tuple(found)


def _on_panel(
    view: LiveryView, judged: Judged, place: Place, urls: Urls, numbers: tuple[int, int]
) -> OnPanel:
    piece, stock = judged.piece, view.question.stock
    swatch = parse_colour(piece.item.swatch) if piece.item.swatch else None
    letters = piece.art.part("letters")
    seen = tuple(
        (ink.code, stock.seen(_printed(ink, letters, swatch), judged.paint))
        for ink in colours_of(piece.art)
    )
    return OnPanel(
        place.panel,
        piece.item.name,
        _turned(piece.art, place),
        placed_shape(piece.cut.shape, piece.art, place),
        seen,
        judged.fit is None or judged.fit.fits,
        *numbers,
        place.x_mm,
        place.y_mm,
        urls.get(piece.item.art or "", ""),
    )


def _printed(ink: Colour, letters: Fill | None, swatch: Colour | None) -> Colour:
    """Return the colour an ink comes out as on white: the swatch, where one was measured."""
    if swatch is None or (letters is not None and ink != letters.colour):
        return ink
    return swatch


def _turned(art: Artwork, place: Place) -> Artwork:
    """Return an artwork where it lies; pixels are moved but not turned."""
    fills = tuple(
        Fill(fill.colour, placed_shape(fill.shape, art, place), fill.part) for fill in art.fills
    )
    left, top, right, bottom = art.bounds_mm()
    shift = (place.x_mm - (left + right) / 2.0, place.y_mm - (top + bottom) / 2.0)
    return Artwork(fills, mapped(art, 1.0, *shift).pixels)


@dataclass(frozen=True, slots=True)
class DrawnItem:
    """An item as it is printed and cut.

    Attributes
    ----------
    picture
        What it looks like on white film.
    size
        How large the cut piece is, in words.
    """

    picture: Markup
    size: str


def draw_typed(view: LiveryView, typed: Pairs, preferences: Preferences) -> DrawnItem | None:
    """Return the item in a form as it would be printed; None where it cannot be drawn.

    Parameters
    ----------
    view
        Its livery.
    typed
        The form.
    preferences
        Units of bare numbers.
    """
    try:
        item = item_of(typed, preferences)
        if check_item(item, "item"):
            return None
        art = draw_item(item, item.height_mm, DARK, view.arts)
    except InvalidInput:
        return None
    cut = cut_line(art.silhouette(), view.question.gap_mm, view.question.corner_radius_mm)
    left, top, right, bottom = cut.shape.bounds
    picture = item_picture(art, cut.shape)
    shown = Showing(preferences)
    size = f"{shown.length(right - left)} × {shown.length(bottom - top)} cut out"
    if cut.joined:
        size += ", its parts joined to one piece"
    return DrawnItem(Markup(picture), size)  # noqa: S704  (drawn by us, names escaped there)


def sheets_shown(plan: DecalPlan, urls: Urls) -> tuple[Pictured, ...]:
    """Return each sheet in three widths.

    Parameters
    ----------
    plan
        The planned sheets.
    urls
        Address of each picture of pixels.
    """
    return tuple(_sheet(plan, urls, number) for number in range(plan.nesting.sheets))


def _sheet(plan: DecalPlan, urls: Urls, number: int) -> Pictured:
    pieces = [
        _on_sheet(piece, spot, urls)
        for piece, spot in zip(plan.pieces, plan.nesting.spots, strict=True)
        if spot.sheet == number
    ]
    size = plan.question.sheet
    return pictured(
        lambda width, key: page_picture(size, FOOT_MM, pieces, width, key), f"sheet-{number + 1}"
    )


def _on_sheet(piece: Piece, spot: Spot, urls: Urls) -> OnSheet:
    from shapely import affinity

    def laid(shape: BaseGeometry) -> BaseGeometry:
        turned = affinity.rotate(shape, spot.turn_deg, origin=(0.0, 0.0))
        return affinity.translate(turned, spot.x_mm, spot.y_mm)

    fills = [Fill(one.colour, laid(one.shape), one.part) for one in piece.art.fills]
    pixels = piece.art.pixels
    if pixels is None:
        return OnSheet(piece.label, Artwork(tuple(fills)), laid(piece.cut.shape))
    left, top, right, bottom = laid(box_of(pixels.box_mm)).bounds
    if spot.turn_deg:  # a picture that is turned is shown as a plain patch of its mean colour
        patch = Fill(pixels.mean, laid(box_of(pixels.box_mm)), "art")
        return OnSheet(piece.label, Artwork((*fills, patch)), laid(piece.cut.shape))
    moved = replace(pixels, box_mm=(left, top, right, bottom))
    href = urls.get(piece.item.art or "", "")
    return OnSheet(piece.label, Artwork(tuple(fills), moved), laid(piece.cut.shape), href)


def box_of(box_mm: Box) -> BaseGeometry:
    """Return a box as a shape."""
    from shapely import box

    return box(*box_mm)
