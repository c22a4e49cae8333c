"""Panels of two castings, a piece of art and two liveries, all invented."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from hillbench.decals.item import Drop, Edge, Ground, Item, Place
from hillbench.decals.panel import KeepOut, Panel
from hillbench.decals.sheet_size import SheetSize
from hillbench.records import casting_store, decal_store
from hillbench.usecases.decal_documents import panel_document, scheme_document
from hillbench.usecases.decal_question import DecalQuestion

_A5: Final = SheetSize(148.0, 210.0)
_WAGON_PAINT: Final = "#23506b"
_VAN_PAINT: Final = "#d8b23a"

_WAGON: Final = (
    Panel(
        *("left door", "left door", 21.5, 10.5),
        keep_outs=(
            KeepOut("door gap", (10.6, 10.9), (0.0, 10.5)),
            KeepOut("handle", (8.2, 10.0), (0.8, 1.6)),
        ),
        paint=_WAGON_PAINT,
    ),
    Panel(
        *("right door", "right door", 21.5, 10.5),
        keep_outs=(
            KeepOut("door gap", (10.6, 10.9), (0.0, 10.5)),
            KeepOut("handle", (11.5, 13.3), (0.8, 1.6)),
        ),
        paint=_WAGON_PAINT,
    ),
    Panel("bonnet", "bonnet", 20.0, 15.0, paint=_WAGON_PAINT, curvature="two ways"),
    Panel("roof", "roof", 19.0, 24.0, paint=_WAGON_PAINT),
    Panel(
        *("windscreen", "windscreen"),
        outline_mm=((1.5, 0.0), (18.5, 0.0), (20.0, 7.0), (0.0, 7.0)),
        paint="#9fb4bd",
        glass=True,
        curvature="one way",
    ),
)
_VAN: Final = (
    Panel("left flank", "left flank", 34.0, 15.0, paint=_VAN_PAINT),
    Panel("right flank", "right flank", 34.0, 15.0, paint=_VAN_PAINT),
    Panel("left door", "left door", 12.5, 9.0, paint=_VAN_PAINT),
    Panel("right door", "right door", 12.5, 9.0, paint=_VAN_PAINT),
    Panel("bonnet", "bonnet", 18.0, 7.5, paint=_VAN_PAINT, curvature="two ways"),
)
PANELS: Final[Mapping[str, tuple[Panel, ...]]] = {"Brindlewick Wagon": _WAGON, "Ruddock Van": _VAN}
"""Panels of each casting that has some."""

_NUMBER: Final = Item(
    *("number 27", "27"),
    weight="black",
    height_mm=5.6,
    slant_deg=8.0,
    colour="#ffffff",
    outline=Edge(0.45, "#111111"),
    mirrored_pair=True,
    places=(
        Place("left door", 5.1, 6.1, height_mm=5.2),
        Place("right door", 16.4, 6.1, height_mm=5.2),
        Place("bonnet", 10.0, 7.5, height_mm=8.0),
    ),
    spares=1,
)
_TEAM: Final = Item(
    *("team", "Larch"),
    face="brush",
    height_mm=2.6,
    colour="#f2e3b3",
    places=(Place("left door", 16.2, 6.0), Place("right door", 5.3, 6.0)),
)
_BANNER: Final = Item(
    *("banner", "LARCH LANE"),
    face="square",
    weight="black",
    height_mm=2.0,
    places=(Place("windscreen", 10.0, 2.6),),
    spares=1,
    grain_fixed=True,
)
_STAR: Final = Item("star", art="Compass star", height_mm=11.0, places=(Place("roof", 9.5, 12.0),))
_ROUNDEL: Final = Item(
    *("roundel 4", "4"),
    face="slab",
    weight="black",
    height_mm=5.0,
    ground=Ground("roundel", "#ffffff", 0.9),
    places=(Place("left door", 4.8, 4.5), Place("right door", 7.7, 4.5)),
)
_TRADE: Final = Item(
    *("trade", "RUDDOCK & SONS"),
    face="slab",
    weight="black",
    height_mm=2.6,
    colour="#7a1f2b",
    drop=Drop(0.3, 0.3, "#111111"),
    places=(Place("left flank", 17.0, 7.5), Place("right flank", 17.0, 7.5)),
)

LIVERIES: Final[Mapping[str, tuple[str, DecalQuestion]]] = {
    "Larch 27": (
        "Brindlewick Wagon",
        DecalQuestion((_NUMBER, _TEAM, _BANNER, _STAR), sheet=_A5, white_layer=True),
    ),
    "Ruddock delivery": ("Ruddock Van", DecalQuestion((_ROUNDEL, _TRADE), sheet=_A5)),
}
"""Casting and scheme of each livery; the second one shows what clear film does to white."""


def dress_demo(session: Session, at: datetime) -> None:
    """Add panels, art and liveries to the castings of the demo.

    Parameters
    ----------
    session
        Of the bench book that is filled.
    at
        When they were made, UTC.
    """
    ids = {one.name: one.id for one in casting_store.list_castings(session)}
    for casting, panels in PANELS.items():
        for panel in panels:
            decal_store.keep_panel(session, ids[casting], panel_document(panel), at)
    decal_store.add_art(session, "Compass star", "", {"fills": [_star()]}, at)
    for name, (casting, question) in LIVERIES.items():
        scheme = scheme_document(dataclasses.replace(question, panels=()))
        decal_store.keep_livery(session, ids[casting], name, "", scheme, at)


def _star() -> dict[str, object]:
    """Return a star with eight points as kept art."""
    ring = []
    for step in range(16):
        radius = 5.0 if step % 4 == 0 else 3.0 if step % 2 == 0 else 1.4
        turn = math.tau * step / 16.0
        x, y = 5.0 + radius * math.sin(turn), 5.0 - radius * math.cos(turn)
        ring.append([round(x, 4), round(y, 4)])
    return {"colour": "#e3c653", "part": "art", "polygons": [[ring]]}
