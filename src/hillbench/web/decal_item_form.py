"""The form of an item: read and filled."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from hillbench import units
from hillbench.decals.item import AUTO, Drop, Edge, Ground, Item, Place
from hillbench.decals.typeface import FACES
from hillbench.errors import InvalidInput
from hillbench.web.form_rows import Pairs, is_blank, rows_of, with_rows
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again
from hillbench.web.typed import Answers, Typed

LABELS: Final = {
    "name": "The name",
    "text": "The text",
    "art": "The art",
    "face": "The typeface",
    "weight": "The weight",
    "height_mm": "The height",
    "sizes_mm": "More heights",
    "slant_deg": "The slant",
    "spacing_mm": "The spacing",
    "colour": "The colour",
    "swatch": "The swatch",
    "outline_mm": "The width of the outline",
    "outline_colour": "The colour of the outline",
    "drop_right_mm": "The drop to the right",
    "drop_down_mm": "The drop down",
    "drop_colour": "The colour of the drop",
    "ground_colour": "The colour of the ground",
    "ground_margin_mm": "The margin of the ground",
    "count": "The number of copies",
    "spares": "The number of spares",
}
COLUMNS: Final = ("panel", "x", "y", "turn", "height")
BLANK_PLACE: Final[Mapping[str, str]] = dict.fromkeys(COLUMNS, "")
_WHERE: Final = {
    "outline.width_mm": "outline_mm",
    "outline.colour": "outline_colour",
    "drop.right_mm": "drop_right_mm",
    "drop.down_mm": "drop_down_mm",
    "drop.colour": "drop_colour",
    "ground.colour": "ground_colour",
    "ground.margin_mm": "ground_margin_mm",
}
_PLACE: Final = re.compile(r"places\[(\d+)\]\.(\w+)")


def item_of(typed: Pairs, preferences: Preferences) -> Item:
    """Return the item that was typed.

    Parameters
    ----------
    typed
        The form.
    preferences
        Units of bare numbers.

    Raises
    ------
    InvalidInput
        With every number that is none.
    """
    answers = Answers("item", typed, preferences, LABELS)
    art = answers.text("art") or None
    text = None if art else answers.text("text").strip()
    item = Item(
        name=answers.text("name").strip() or (text or art or "")[:40],
        text=text,
        art=art,
        face=answers.choice("face", FACES),
        weight=answers.text("weight"),
        height_mm=answers.quantity("height_mm", units.LENGTH) or 0.0,
        sizes_mm=_sizes(answers, preferences),
        slant_deg=answers.quantity("slant_deg", units.ANGLE, required=False) or 0.0,
        spacing_mm=answers.quantity("spacing_mm", units.LENGTH, required=False) or 0.0,
        colour=answers.text("colour").strip() or AUTO,
        swatch=answers.text("swatch").strip() or None,
        outline=_outline(answers),
        drop=_drop(answers),
        ground=_ground(answers),
        mirrored_pair=answers.text("mirrored_pair") == "yes",
        places=_places(answers, typed, preferences),
        count=_whole(answers, "count", 1),
        spares=_whole(answers, "spares", 0),
        group=answers.text("group").strip()[:60],
        grain_fixed=answers.text("grain_fixed") == "yes",
    )
    answers.require()
    return item


def _sizes(answers: Answers, preferences: Preferences) -> tuple[float, ...]:
    unit = preferences.length_unit
    parts = [part for part in re.split(r"[;\s]+", answers.text("sizes_mm").strip()) if part]
    read = [answers.parse("sizes_mm", part, units.LENGTH, unit) for part in parts]
    return tuple(value for value in read if value is not None)


def _outline(answers: Answers) -> Edge | None:
    width_mm = answers.quantity("outline_mm", units.LENGTH, required=False)
    if not width_mm:
        return None
    return Edge(width_mm, answers.text("outline_colour").strip() or "#000000")


def _drop(answers: Answers) -> Drop | None:
    right_mm = answers.quantity("drop_right_mm", units.LENGTH, required=False) or 0.0
    down_mm = answers.quantity("drop_down_mm", units.LENGTH, required=False) or 0.0
    if not right_mm and not down_mm:
        return None
    return Drop(right_mm, down_mm, answers.text("drop_colour").strip() or "#000000")


def _ground(answers: Answers) -> Ground | None:
    shape = answers.choice("ground", ("", "roundel", "square"))
    if not shape:
        return None
    margin_mm = answers.quantity("ground_margin_mm", units.LENGTH, required=False)
    colour = answers.text("ground_colour").strip() or "#ffffff"
    return Ground(shape, colour, 0.8 if margin_mm is None else margin_mm)


def _whole(answers: Answers, name: str, default: int) -> int:
    value = answers.quantity(name, units.NUMBER, required=False)
    return default if value is None else round(value)


def _places(answers: Answers, typed: Pairs, preferences: Preferences) -> tuple[Place, ...]:
    unit = preferences.length_unit
    found = []
    for number, row in enumerate(rows_of(typed, "place"), start=1):
        if is_blank(row, ("x", "y", "height")):
            continue
        where = f"Place {number}"
        x, y = (
            answers.parse(f"{where}, {axis}", row.get(axis, ""), units.LENGTH, unit) or 0.0
            for axis in ("x", "y")
        )
        turn_text, height_text = row.get("turn", "").strip(), row.get("height", "").strip()
        turn = answers.parse(f"{where}, turn", turn_text or "0", units.ANGLE, "deg") or 0.0
        height = None
        if height_text:
            height = answers.parse(f"{where}, height", height_text, units.LENGTH, unit)
        found.append(Place(row.get("panel", ""), x, y, turn, height))
    return tuple(found)


def refused_item(typed: Pairs, preferences: Preferences, wrong: InvalidInput) -> Typed:
    """Return the form as typed with what is wrong beside its fields.

    Parameters
    ----------
    typed
        The form.
    preferences
        Units of bare numbers.
    wrong
        What is wrong.
    """
    answers = Answers("item", typed, preferences, LABELS)
    told = []
    for one in wrong.problems:
        where = one.where.lstrip(".").removeprefix("lettering.")
        where = _PLACE.sub(lambda match: f"Place {int(match[1]) + 1}, {match[2]}", where)
        told.append(replace(one, where=_WHERE.get(where, where) or "The item"))
    return answers.refused(InvalidInput(told))


def holding_item(item: Item | None, preferences: Preferences, *, kind: str = "number") -> Typed:
    """Return the form that shows an item, or a new one of a kind.

    Parameters
    ----------
    item
        The item; None for a new one.
    preferences
        Units it is shown in.
    kind
        ``number``, ``name`` or ``art``, for a new one.
    """
    if item is None:
        item = Item(
            "",
            text="",
            weight="black" if kind == "number" else "bold",
            height_mm=6.0 if kind == "number" else 2.5,
        )

    def shown(value: float | None) -> str:
        unit = preferences.length_unit
        return typed_again(value, units.LENGTH, unit) if value else ""

    edge, drop, ground = item.outline, item.drop, item.ground
    values = {
        **{name: getattr(item, name) or "" for name in ("name", "text", "art", "swatch", "group")},
        **{name: getattr(item, name) for name in ("face", "weight", "colour")},
        "height_mm": shown(item.height_mm),
        "sizes_mm": " ".join(shown(size) for size in item.sizes_mm),
        "slant_deg": f"{item.slant_deg:g}" if item.slant_deg else "",
        "spacing_mm": shown(item.spacing_mm),
        "outline_mm": shown(edge.width_mm if edge else None),
        "outline_colour": edge.colour if edge else "",
        "drop_right_mm": shown(drop.right_mm if drop else None),
        "drop_down_mm": shown(drop.down_mm if drop else None),
        "drop_colour": drop.colour if drop else "",
        "ground": ground.shape if ground else "",
        "ground_colour": ground.colour if ground else "",
        "ground_margin_mm": shown(ground.margin_mm if ground else None),
        "mirrored_pair": "yes" if item.mirrored_pair else "",
        "grain_fixed": "yes" if item.grain_fixed else "",
        "count": f"{item.count}",
        "spares": f"{item.spares}" if item.spares else "",
    }
    return Typed(
        "item", with_rows(tuple(values.items()), "place", place_rows(item.places, preferences))
    )


def place_rows(places: Sequence[Place], preferences: Preferences) -> list[dict[str, str]]:
    """Return places as rows of the form.

    Parameters
    ----------
    places
        The places.
    preferences
        Units they are shown in.
    """

    def shown(value: float) -> str:
        return typed_again(value, units.LENGTH, preferences.length_unit)

    return [
        {
            "panel": one.panel,
            "x": shown(one.x_mm),
            "y": shown(one.y_mm),
            "turn": f"{one.turn_deg:g}" if one.turn_deg else "",
            "height": shown(one.height_mm) if one.height_mm else "",
        }
        for one in places
    ]
