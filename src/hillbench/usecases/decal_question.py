"""A sheet of decals as asked for in a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from hillbench.decals.appearance import Stock
from hillbench.decals.artwork import Artwork
from hillbench.decals.cut_line import CORNER_RADIUS_MM, GAP_MM
from hillbench.decals.film import Film
from hillbench.decals.item import Item, check_item
from hillbench.decals.legibility import Viewing
from hillbench.decals.nest import TURNS
from hillbench.decals.panel import Panel, check_panel
from hillbench.decals.sheet_size import SheetSize, check_sheet
from hillbench.errors import InvalidInput, Problem
from hillbench.sheets.decal_sheet import FOOT_MM, RULER_WIDTH_MM
from hillbench.usecases.question import read_question

_SHEET: Final = SheetSize()
_VIEWING: Final = Viewing()
PIECE_GAP_MM: Final = 1.0


@dataclass(frozen=True, slots=True)
class DecalQuestion:
    """What is to be printed and where it goes.

    Attributes
    ----------
    items
        Numbers, names and art.
    panels
        Panels of the casting; may be empty.
    sheet
        The sheet of film and the margins that the printer cannot reach.
    gap_mm
        Distance from the print to the cut line, mm; raised to the corner radius.
    corner_radius_mm
        Least radius of the corners of the cut line, mm.
    piece_gap_mm
        Distance between pieces on the sheet, mm.
    film
        ``clear`` or ``white``.
    white_layer
        Whether white ink is printed below the colours (a page of its own).
    mirrored_page
        Whether a mirrored page is made as well.
    cutting
        ``scissors`` prints the cut line; ``plotter`` leaves it to the knife.
    turns
        How pieces may be turned on the sheet: ``none``, ``quarter`` or ``any``.
    most_sheets
        Sheets there are; null for any number.
    viewing
        How the car is looked at.
    title
        Printed on the sheet.
    """

    items: tuple[Item, ...]
    panels: tuple[Panel, ...] = ()
    sheet: SheetSize = _SHEET
    gap_mm: float = GAP_MM
    corner_radius_mm: float = CORNER_RADIUS_MM
    piece_gap_mm: float = PIECE_GAP_MM
    film: str = "clear"
    white_layer: bool = False
    mirrored_page: bool = False
    cutting: str = "scissors"
    turns: str = "quarter"
    most_sheets: int | None = None
    viewing: Viewing = _VIEWING
    title: str = "Decals"

    @property
    def stock(self) -> Stock:
        """What is printed on and how."""
        return Stock(Film(self.film), self.white_layer)


Arts = Mapping[str, Artwork]


def read_decal_question(text: str) -> DecalQuestion:
    """Return the question in a JSON text; raises `InvalidInput` with every problem of form."""
    return read_question(text, DecalQuestion)


def check_decal_question(question: DecalQuestion) -> None:
    """Raise `InvalidInput` with everything about a question that cannot be used."""
    problems = _choice_problems(question) + _length_problems(question)
    if not question.items:
        problems.append(Problem("items", "empty", "at least one item", "add one"))
    for at, panel in enumerate(question.panels):
        problems += check_panel(panel, f"panels[{at}]")
    for at, item in enumerate(question.items):
        problems += check_item(item, f"items[{at}]")
    problems += _twice("panels", [panel.name for panel in question.panels])
    problems += _twice("items", [item.name for item in question.items])
    problems += _sheet_problems(question.sheet)
    if problems:
        raise InvalidInput(problems)


def _choice_problems(question: DecalQuestion) -> list[Problem]:
    choices = (
        ("film", question.film, tuple(Film)),
        ("turns", question.turns, TURNS),
        ("cutting", question.cutting, ("scissors", "plotter")),
    )
    return [
        Problem(name, repr(value), "one of: " + ", ".join(known))
        for name, value, known in choices
        if value not in known
    ]


def _length_problems(question: DecalQuestion) -> list[Problem]:
    viewing = question.viewing
    ranges = [
        ("gap_mm", question.gap_mm, 0.0, 10.0, "mm"),
        ("corner_radius_mm", question.corner_radius_mm, 0.0, 10.0, "mm"),
        ("piece_gap_mm", question.piece_gap_mm, 0.0, 50.0, "mm"),
        ("most_sheets", question.most_sheets or 1, 1, 1000, ""),
        ("viewing.distance_mm", viewing.distance_mm, 50.0, 20_000.0, "mm"),
        ("viewing.frame_width_mm", viewing.frame_width_mm or 100.0, 10.0, 20_000.0, "mm"),
        ("viewing.frame_width_px", viewing.frame_width_px, 100.0, 20_000.0, "px"),
        ("viewing.speed_m_s", viewing.speed_m_s, 0.0, 50.0, "m/s"),
        ("viewing.exposure_s", viewing.exposure_s, 0.0, 1.0, "s"),
    ]
    return [
        Problem(name, f"{value:g} {unit}".strip(), f"{least:g} to {most:g} {unit}".strip())
        for name, value, least, most, unit in ranges
        if not least <= value <= most
    ]


def _sheet_problems(sheet: SheetSize) -> list[Problem]:
    problems = check_sheet(sheet, "sheet")
    if problems:
        return problems
    if sheet.usable_width_mm < RULER_WIDTH_MM or sheet.usable_height_mm < FOOT_MM + 10.0:
        seen = f"{sheet.usable_width_mm:g} × {sheet.usable_height_mm:g} mm inside its margins"
        allowed = f"at least {RULER_WIDTH_MM:g} × {FOOT_MM + 10.0:g} mm, for the 100 mm bar"
        problems.append(Problem("sheet", seen, allowed, "turn the sheet, or take a larger one"))
    return problems


def _twice(where: str, names: list[str]) -> list[Problem]:
    return [
        Problem(f"{where}[{at}].name", repr(name), "a name that no other one has", "rename it")
        for at, name in enumerate(names)
        if name in names[:at]
    ]
