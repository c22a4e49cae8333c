"""What every sheet has round its matter: title, code with its address, bars of known length."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from hillbench.sheets.drawing import PRINT, Layer, Mark, Page, Words
from hillbench.sheets.flow import ACCENT, INK, LEADING, MUTED, Block, height_of, stack
from hillbench.sheets.font import shorten, wrap
from hillbench.sheets.page import PageSize
from hillbench.sheets.qr_code import qr_marks
from hillbench.sheets.ruler import RULER_HEIGHT_MM, ruler_marks

MARGIN_MM: Final = 12.0
"""Paper left free on every side, which most printers cannot reach."""

_CODE_MM: Final = 27.0
_TITLE_MM: Final = 7.4
_LINE_MM: Final = 3.4
_ADDRESS_MM: Final = 2.12
_FOOT_MM: Final = 2.6


@dataclass(frozen=True, slots=True)
class Link:
    """The page of the app that a code leads to.

    Attributes
    ----------
    address
        As a phone in the same network reaches it; empty where it cannot.
    why_not
        Why there is no code; empty where there is one.
    """

    address: str
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class Frame:
    """Title and foot of a sheet, and the room between them.

    Attributes
    ----------
    marks
        Title, code and bars.
    top_mm, bottom_mm
        Where the room for the matter begins and ends.
    left_mm, width_mm
        Its left edge and its width.
    """

    marks: tuple[Mark, ...] = field(repr=False)
    top_mm: float
    bottom_mm: float
    left_mm: float
    width_mm: float

    @property
    def height_mm(self) -> float:
        """Height of the room."""
        return self.bottom_mm - self.top_mm


def frame(
    size: PageSize, kicker: str, title: str, lines: tuple[str, ...], link: Link, foot: str
) -> Frame:
    """Return the frame of a page.

    Parameters
    ----------
    size
        The paper.
    kicker
        What kind of sheet it is, small above the title.
    title
        What it is about.
    lines
        What is said below the title.
    link
        The page it leads to.
    foot
        Who made it and when.
    """
    left, width = MARGIN_MM, size.width_mm - 2.0 * MARGIN_MM
    marks, code_bottom = _code(size, link)
    room = width - _CODE_MM - 4.0
    marks.append(Words(left, MARGIN_MM + 3.0, kicker, 2.9, "bold", ACCENT))
    y = MARGIN_MM + 3.0 + 1.15 * _TITLE_MM
    marks.append(Words(left, y, shorten(title, room, _TITLE_MM, "bold"), _TITLE_MM, "bold", INK))
    y += 0.45 * _LINE_MM
    for line in [part for text in lines for part in wrap(text, room, _LINE_MM)]:
        y += LEADING * _LINE_MM
        marks.append(Words(left, y, line, _LINE_MM, "regular", MUTED))
    bottom = size.height_mm - MARGIN_MM - RULER_HEIGHT_MM
    marks += ruler_marks(left, bottom)
    right = size.width_mm - MARGIN_MM
    marks.append(Words(right, size.height_mm - MARGIN_MM, foot, _FOOT_MM, "regular", MUTED, "end"))
    top = max(y + 4.0, code_bottom + 3.0)
    return Frame(tuple(marks), top, bottom - 3.0, left, width)


def paged(
    around: Frame, size: PageSize, blocks: Sequence[Block], head: Block | None = None
) -> tuple[Page, ...]:
    """Return blocks on as many pages as they need, none torn apart, each page with its number.

    Parameters
    ----------
    around
        The frame of every page.
    size
        The paper.
    blocks
        From top to bottom.
    head
        What stands above them on every page, such as the names of columns.
    """
    above = [] if head is None else [head]
    pages = list(_filled(blocks, around.height_mm - height_of(above))) or [[]]
    drawn = []
    for number, page in enumerate(pages, start=1):
        marks = [*around.marks, *stack([*above, *page], around.left_mm, around.top_mm)]
        if len(pages) > 1:
            right = around.left_mm + around.width_mm
            told = f"{number} of {len(pages)}"
            marks.append(Words(right, around.bottom_mm + 6.0, told, 3.0, "bold", MUTED, "end"))
        drawn.append(Page(size, (Layer(PRINT, tuple(marks)),)))
    return tuple(drawn)


def _filled(blocks: Sequence[Block], room: float) -> Iterator[list[Block]]:
    page: list[Block] = []
    for block in blocks:
        if page and height_of(page) + block.height_mm > room:
            yield page
            page = []
        page.append(block)
    if page:
        yield page


def _code(size: PageSize, link: Link) -> tuple[list[Mark], float]:
    left, top = size.width_mm - MARGIN_MM - _CODE_MM, MARGIN_MM
    marks: list[Mark] = []
    below = top
    if link.address:
        # The quiet zone may lie over the margin, so that the code ends with the column.
        marks += qr_marks(link.address, left, top, _CODE_MM)
        below += _CODE_MM
    text = link.address.removeprefix("http://") or link.why_not
    for number, line in enumerate(wrap(text, _CODE_MM, _ADDRESS_MM), start=1):
        y = below + LEADING * _ADDRESS_MM * number
        right = left + _CODE_MM
        marks.append(Words(right, y, line, _ADDRESS_MM, "regular", MUTED, "end"))
    lines = len(wrap(text, _CODE_MM, _ADDRESS_MM))
    return marks, below + LEADING * _ADDRESS_MM * lines
