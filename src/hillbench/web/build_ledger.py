"""The mass ledger of a build: picture, lines, and how it stands against the limit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.pictures.mass_ledger import LedgerBar, MassUnit, ledger_picture
from hillbench.usecases.build_shown import ShownBuild
from hillbench.usecases.ledger_of_build import Ledger
from hillbench.usecases.show_build import show_build
from hillbench.web.answer import show
from hillbench.web.asking import Book, Now, Number, Units
from hillbench.web.build_words import ledger_words, verdict_words, weighing_words
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.preferences import Preferences
from hillbench.web.showing import Showing

router = APIRouter(prefix="/builds/{build_id}/ledger")

_DECIMALS: Final = {"g": 2, "oz": 3}


@dataclass(frozen=True)
class LedgerPage(Page):
    """The ledger of a build.

    Attributes
    ----------
    shown
        The build.
    sentence
        What the finished car weighs, and how likely it is found over.
    room
        What may still be added, or must come off; empty without a limit.
    worst
        The latest weighing that disagrees, in words; empty where all agree.
    causes
        What explains it, with its chance in percent.
    picture
        The ledger drawn; None without any mass.
    """

    template: ClassVar[str] = "builds/ledger.html"
    place: ClassVar[str] = "bench"

    shown: ShownBuild
    sentence: str
    room: str
    worst: str
    causes: tuple[tuple[str, int], ...]
    picture: Pictured | None


@router.get("")
def show_ledger(
    request: Request, book: Book, preferences: Units, now: Now, build_id: Number
) -> Response:
    """Show the ledger of a build."""
    shown = show_build(book, build_id, now)
    ledger, show_in = shown.ledger, Showing(preferences)
    worst = ledger.worst()
    page = LedgerPage(
        shown=shown,
        sentence=ledger_words(ledger, shown.build, show_in),
        room="" if ledger.verdict is None else verdict_words(ledger.verdict, show_in),
        worst="" if worst is None else f"{worst.entry.title}: {weighing_words(worst, show_in)}",
        causes=()
        if worst is None
        else tuple((cause.text, round(100.0 * cause.chance)) for cause in worst.causes),
        picture=ledger_drawn(ledger, shown.build.limit_g, preferences),
    )
    return show(request, page)


def ledger_drawn(
    ledger: Ledger, limit_g: float | None, preferences: Preferences, key: str = "ledger"
) -> Pictured | None:
    """Return the picture of a ledger; None where no mass is known.

    Parameters
    ----------
    ledger
        The ledger.
    limit_g
        Most mass of the class, g.
    preferences
        Units of the reader.
    key
        Name of the picture, unique in its page.
    """
    bars = tuple(_bars(ledger))
    if not bars:
        return None
    name = preferences.mass_unit
    unit = MassUnit(name, units.MASS.factors[name], _DECIMALS[name])
    return pictured(
        lambda width, part: ledger_picture(bars, limit_g, unit=unit, width_px=width, key=part), key
    )


def _bars(ledger: Ledger) -> Iterator[LedgerBar]:
    known_g = None if ledger.start is None else ledger.start.value
    for line in ledger.lines:
        after, weighed = line.expected, line.entry.weighed
        if (line.entry.changes or weighed is not None) and (after or weighed) is not None:
            before_g = known_g
            expected = after or weighed
            after_g = 0.0 if expected is None else expected.value
            yield LedgerBar(
                words=line.entry.title,
                before_g=after_g if before_g is None or not line.entry.changes else before_g,
                after_g=after_g,
                done=line.entry.done,
                weighed_g=None if weighed is None else weighed.value,
                uncertainty_g=None
                if line.difference is None
                else line.difference.standard_uncertainty,
                disagrees=line.disagrees,
            )
        if line.after is not None:
            known_g = line.after.value
