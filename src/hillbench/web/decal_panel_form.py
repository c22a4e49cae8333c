"""The form of a panel: read and filled."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from hillbench import units
from hillbench.decals.panel import CURVATURES, ROLES, KeepOut, Panel
from hillbench.errors import InvalidInput, Problem
from hillbench.web.form_rows import Pairs, is_blank, rows_of, with_rows
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again
from hillbench.web.typed import Answers, Typed

LABELS: Final = {
    "name": "The name",
    "role": "The kind of panel",
    "width_mm": "The width",
    "height_mm": "The height",
    "outline_mm": "The outline",
    "paint": "The paint",
    "curvature": "The curvature",
}
COLUMNS: Final = ("name", "left", "right", "top", "bottom", "gap")
BLANK: Final[Mapping[str, str]] = dict.fromkeys(COLUMNS, "")
ROLE_OPTIONS: Final = tuple((role, role) for role in ROLES)
CURVATURE_OPTIONS: Final = (
    ("flat", "flat, or nearly"),
    ("one way", "one way, as a tube"),
    ("two ways", "both ways, as a ball"),
)
_KEEP_OUT: Final = re.compile(r"keep_outs\[(\d+)\]\.(\w+)")
_SIDES: Final = {"x_mm": "left and right", "y_mm": "top and bottom", "clearance_mm": "room"}


def panel_of(typed: Pairs, preferences: Preferences) -> Panel:
    """Return the panel that was typed.

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
    answers = Answers("panel", typed, preferences, LABELS)
    outline = _outline(answers, preferences)
    width = answers.quantity("width_mm", units.LENGTH, required=not outline)
    height = answers.quantity("height_mm", units.LENGTH, required=not outline)
    keep_outs = _keep_outs(answers, typed, preferences)
    panel = Panel(
        name=answers.text("name") or answers.text("role"),
        role=answers.choice("role", ROLES),
        width_mm=width,
        height_mm=height,
        outline_mm=outline,
        keep_outs=keep_outs,
        paint=answers.text("paint") or "#ffffff",
        glass=answers.text("glass") == "yes",
        curvature=answers.choice("curvature", CURVATURES),
    )
    answers.require()
    return panel


def _outline(answers: Answers, preferences: Preferences) -> tuple[tuple[float, ...], ...]:
    """Return the corners typed one on each line; nothing for a rectangle."""
    found = []
    for line in answers.text("outline_mm").splitlines():
        parts = re.split(r"[\s;]+", line.strip())
        if parts == [""]:
            continue
        if len(parts) != 2:
            allowed = "one corner on each line: two numbers with a blank between"
            answers.problems.append(Problem("outline_mm", repr(line.strip()), allowed))
            continue
        unit = preferences.length_unit
        read = [answers.parse("outline_mm", part, units.LENGTH, unit) for part in parts]
        found.append(tuple(value for value in read if value is not None))
    return tuple(found)


def _keep_outs(answers: Answers, typed: Pairs, preferences: Preferences) -> tuple[KeepOut, ...]:
    unit = preferences.length_unit
    found = []
    for number, row in enumerate(rows_of(typed, "keep"), start=1):
        if is_blank(row, COLUMNS):
            continue
        read: dict[str, float] = {}
        for column in COLUMNS[1:]:
            text = row.get(column, "").strip() or ("0.3 mm" if column == "gap" else "")
            where = f"Keep-out {number}, {column}"
            read[column] = answers.parse(where, text, units.LENGTH, unit) or 0.0
        sides = ((read["left"], read["right"]), (read["top"], read["bottom"]))
        found.append(KeepOut(row.get("name", "").strip() or "keep-out", *sides, read["gap"]))
    return tuple(found)


def refused_panel(typed: Pairs, preferences: Preferences, wrong: InvalidInput) -> Typed:
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
    answers = Answers("panel", typed, preferences, LABELS)
    told = [replace(one, where=_KEEP_OUT.sub(_keep_out_words, one.where)) for one in wrong.problems]
    return answers.refused(InvalidInput(told))


def _keep_out_words(match: re.Match[str]) -> str:
    side = _SIDES.get(match[2], match[2])
    return f"Keep-out {int(match[1]) + 1}, {side}"


def holding_panel(panel: Panel | None, preferences: Preferences, *, role: str = "") -> Typed:
    """Return the form that shows a panel, or an empty one.

    Parameters
    ----------
    panel
        The panel; None for a new one.
    preferences
        Units it is shown in.
    role
        What a new one is.
    """
    if panel is None:
        known = role if role in ROLES else ROLES[0]
        return Typed.holding("panel", {"role": known, "curvature": "flat", "paint": "#c8102e"})

    def shown(value: float | None) -> str:
        if value is None:
            return ""
        return typed_again(value, units.LENGTH, preferences.length_unit)

    values = {
        "name": panel.name,
        "role": panel.role,
        "width_mm": shown(panel.width_mm),
        "height_mm": shown(panel.height_mm),
        "outline_mm": "\n".join(f"{shown(x)} {shown(y)}" for x, y in panel.outline_mm),
        "paint": panel.paint,
        "glass": "yes" if panel.glass else "",
        "curvature": panel.curvature,
    }
    rows = [
        {
            "name": one.name,
            "left": shown(min(one.x_mm)),
            "right": shown(max(one.x_mm)),
            "top": shown(min(one.y_mm)),
            "bottom": shown(max(one.y_mm)),
            "gap": shown(one.clearance_mm),
        }
        for one in panel.keep_outs
    ]
    return Typed("panel", with_rows(tuple(values.items()), "keep", rows))
