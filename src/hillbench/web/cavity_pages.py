"""What the pages about the inside of a casting show."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar, Final

from markupsafe import Markup

from hillbench.ballast.body_styles import TYPICAL_CAVITIES
from hillbench.ballast.measured_cavity import BODY_STYLES, MeasuredCavity
from hillbench.errors import InvalidInput
from hillbench.pictures.cavity_view import cavity_picture
from hillbench.records.entities import CarRecord, CastingRecord
from hillbench.usecases.keep_cavity import require_room
from hillbench.web.cavity_entry import CavityReader
from hillbench.web.cavity_fields import FINER, FLAT, HEIGHTS, PLACES, ReadingField
from hillbench.web.form_rows import Row, rows_of
from hillbench.web.page import Page
from hillbench.web.pictured import narrow_picture
from hillbench.web.typed import Typed

_LEAD_G_CM3: Final = 11.3
_NOTHING: Final = Markup()


@dataclass(frozen=True, slots=True)
class CavityPreview:
    """The picture that follows while readings are typed.

    Attributes
    ----------
    sentence
        How much room there is, or what to do first.
    picture
        From above and from the side; empty where nothing can be drawn yet.
    problems
        What keeps it from being drawn.
    """

    sentence: str
    picture: Markup = _NOTHING
    problems: tuple[str, ...] = ()

    @classmethod
    def of(cls, reader: CavityReader) -> CavityPreview:
        """Return the picture of what was typed so far."""
        try:
            return cls.drawn(reader.measured())
        except InvalidInput as wrong:
            shown = reader.refused(wrong).problems
            sentence = "The picture comes when the readings fit together."
            return cls(sentence, problems=tuple(one.sentence for one in shown[:5]))

    @classmethod
    def drawn(cls, measured: MeasuredCavity) -> CavityPreview:
        """Return the picture of a cavity that can be."""
        picture = _picture(measured, "cavity")
        try:
            room = require_room(measured).volume_cm3
        except InvalidInput as wrong:
            sentence = "There is no room for a piece yet."
            return cls(sentence, picture, tuple(one.sentence() for one in wrong.problems))
        sentence = (
            f"{room:.1f} cm³ of room between floor, body and what stays free: "
            f"{room * _LEAD_G_CM3:.0f} g of lead would fill every corner."
        )
        return cls(sentence, picture)


@dataclass(frozen=True, slots=True)
class StyleCard:
    """One body style to begin from."""

    style: str
    picture: Markup


@dataclass(frozen=True, slots=True)
class BeginCavityPage(Page):
    """Body styles to begin a cavity from.

    Attributes
    ----------
    casting
        The casting.
    styles
        Each with its picture.
    """

    template: ClassVar[str] = "cavity/begin.html"
    place: ClassVar[str] = "cars"

    casting: CastingRecord
    styles: tuple[StyleCard, ...]


def style_cards() -> tuple[StyleCard, ...]:
    """Return the body styles with their pictures."""
    return tuple(
        StyleCard(style, _picture(measured, f"style-{number}"))
        for number, (style, measured) in enumerate(TYPICAL_CAVITIES.items())
    )


def _picture(measured: MeasuredCavity, key: str) -> Markup:
    return narrow_picture(
        lambda width, name: cavity_picture(measured, width_px=width, key=name), key
    )


@dataclass(frozen=True, slots=True)
class CavityPage(Page):
    """The inside of a casting.

    Attributes
    ----------
    casting
        The casting.
    address
        Where the form is sent.
    typical
        Whether the numbers are those of a template, not measured.
    cavity_id
        Of the cavity that is kept; None before.
    earlier
        How many were kept before it.
    typed
        The form.
    preview
        Its picture.
    cars
        Cars of this casting, to be ballasted.
    outlined
        Views in which an outline on a photo takes the place of readings.
    keep_outs
        Rows of what stays free.
    focus
        Whether the last row gets the cursor.
    flat, heights, places, finer
        Readings in their groups.
    bodies
        Body styles, value and words.
    """

    template: ClassVar[str] = "cavity/edit.html"
    place: ClassVar[str] = "cars"

    casting: CastingRecord
    address: str
    typical: bool
    cavity_id: int | None
    earlier: int
    typed: Typed
    preview: CavityPreview
    cars: tuple[CarRecord, ...] = ()
    outlined: tuple[str, ...] = ()
    focus: bool = False
    keep_outs: tuple[Row, ...] = field(default=())
    flat: tuple[ReadingField, ...] = FLAT
    heights: tuple[ReadingField, ...] = HEIGHTS
    places: tuple[ReadingField, ...] = PLACES
    finer: tuple[ReadingField, ...] = FINER
    bodies: tuple[tuple[str, str], ...] = tuple((style, style) for style in BODY_STYLES)


def keep_out_rows(typed: Typed) -> tuple[Row, ...]:
    """Return the rows of what stays free."""
    return tuple(rows_of(typed.pairs, "keep"))


@dataclass(frozen=True, slots=True)
class CavityPreviewPage(Page):
    """The picture alone, while typing.

    Attributes
    ----------
    preview
        The picture.
    """

    template: ClassVar[str] = "cavity/preview.html"
    place: ClassVar[str] = "cars"

    preview: CavityPreview
