"""How a piece shows on its paint: contrast, difference, size of letters and strokes, advice."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from hillbench.decals.artwork import Artwork, Fill
from hillbench.decals.colour import Colour, contrast_ratio, parse_colour
from hillbench.decals.difference import delta_e_2000
from hillbench.decals.draw_item import DARK, LIGHT
from hillbench.decals.film import PAPER, Film, bare_film, on_paint
from hillbench.decals.item import AUTO, Item
from hillbench.decals.legibility import Sizes

READS: Final = 4.5
SHOWS: Final = 3.0
"""Contrast of text that reads well, and of large text or figures; WCAG 2.2, 1.4.3 and 1.4.11."""

_THIN_SHARE: Final = 0.05

CHANGED: Final = 20.0
"""CIEDE2000 beyond which an ink is told to have become another colour: our own choice."""


@dataclass(frozen=True, slots=True)
class Stock:
    """What the sheet is printed on and how.

    Attributes
    ----------
    film
        Clear or white.
    white_below
        Whether white ink is printed below the colours (clear film).
    """

    film: Film = Film.CLEAR
    white_below: bool = False

    def seen(self, ink: Colour, paint: Colour) -> Colour:
        """Return the colour of an ink on a paint."""
        return on_paint(ink, paint, self.film, white_below=self.white_below)


@dataclass(frozen=True, slots=True)
class Neighbours:
    """Two colours that meet.

    Attributes
    ----------
    inner, outer
        What they are, such as ``letters`` and ``paint``.
    inner_colour, outer_colour
        As seen on the car.
    contrast_ratio
        Of the two, 1 to 21.
    delta_e_2000
        Their difference.
    """

    inner: str
    outer: str
    inner_colour: Colour
    outer_colour: Colour
    contrast_ratio: float
    delta_e_2000: float


@dataclass(frozen=True, slots=True)
class Appearance:
    """How a piece shows.

    Attributes
    ----------
    inks
        What is printed and in which ink, from the inside out.
    neighbours
        Colours that meet, from the inside out.
    letter_height_mm
        Height of its letters, mm; None for art.
    stroke_mm
        Thickness of their thin strokes, mm; None for art.
    """

    inks: tuple[tuple[str, Colour], ...]
    neighbours: tuple[Neighbours, ...]
    letter_height_mm: float | None
    stroke_mm: float | None

    @property
    def weakest(self) -> Neighbours:
        """The pair that carries the reading: letters (or art) against what is around them."""
        return self.neighbours[0]


def choose_ink(item: Item, paint: Colour, stock: Stock) -> Colour:
    """Return the dark or light ink that shows better on what lies around the letters."""
    around = paint
    if item.outline is not None:
        around = stock.seen(parse_colour(item.outline.colour), paint)
    elif item.ground is not None:
        around = stock.seen(parse_colour(item.ground.colour), paint)
    elif stock.film is Film.WHITE:
        around = PAPER
    return max((DARK, LIGHT), key=lambda ink: contrast_ratio(stock.seen(ink, paint), around))


def judge(item: Item, art: Artwork, height_mm: float, paint: Colour, stock: Stock) -> Appearance:
    """Return how a piece shows on a paint.

    Parameters
    ----------
    item
        The item.
    art
        Its artwork.
    height_mm
        Height of its letters, mm.
    paint
        Colour of the panel.
    stock
        Film, and whether white lies below.
    """
    layers = tuple(_layers(item, art))
    seen = [(name, stock.seen(colour, paint)) for name, colour in layers]
    rim = "film" if stock.film is Film.WHITE else "paint"
    seen.append((rim, bare_film(paint, stock.film)))
    if rim == "film":
        seen.append(("paint", paint))
    pairs = tuple(_pair(*inner, *outer) for inner, outer in itertools.pairwise(seen))
    letters = art.part("letters")
    if letters is None:
        return Appearance(layers, pairs, None, None)
    return Appearance(layers, pairs, height_mm, thin_stroke_mm(letters))


def thin_stroke_mm(letters: Fill) -> float:
    """Return the thickness of the thin strokes, mm: a twentieth of the area is thinner.

    Notes
    -----
    What is thinner than a disc is what shrinking and growing again by its radius (opening) takes
    away; sharp corners are kept, since they are no strokes. Found by halving, to 1 %.
    """
    shape = letters.shape.simplify(0.01)
    low, high = 0.0, float(letters.shape.area / letters.shape.length) * 4.0
    while high - low > 0.01 * high:
        middle = (low + high) / 2.0
        opened = shape.buffer(-middle, join_style="mitre").buffer(middle, join_style="mitre")
        if shape.difference(opened).area < _THIN_SHARE * shape.area:
            low = middle
        else:
            high = middle
    return 2.0 * low


def _layers(item: Item, art: Artwork) -> Iterator[tuple[str, Colour]]:
    """Yield what one meets from the inside out; the drop lies beside, not around."""
    if art.pixels is not None:
        yield "picture", art.pixels.mean
        return
    swatch = parse_colour(item.swatch) if item.swatch else None
    for name in ("letters", "outline", "ground"):
        fill = art.part(name)
        if fill is not None:
            yield name, swatch if swatch is not None and name == "letters" else fill.colour
    if art.part("art") is not None:
        largest = max(art.fills, key=lambda fill: float(fill.shape.area))
        yield "art", swatch or largest.colour


def _pair(inner: str, first: Colour, outer: str, second: Colour) -> Neighbours:
    ratio = contrast_ratio(first, second)
    return Neighbours(inner, outer, first, second, ratio, delta_e_2000(first, second))


def advise(
    item: Item, shown: Appearance, paint: Colour, stock: Stock, sizes: Sizes
) -> tuple[str, ...]:
    """Return what to do so that a piece shows and can be read; nothing where it does.

    Parameters
    ----------
    item
        The item.
    shown
        How it shows.
    paint
        Colour of the panel.
    stock
        Film, and whether white lies below.
    sizes
        How large letters and strokes must be.
    """
    found = list(_colour_advice(item, shown, paint, stock))
    height, stroke = shown.letter_height_mm, shown.stroke_mm
    if height is not None and height < sizes.height_least_mm:
        found.append(
            f"The letters are {height:.1f} mm high; from there {sizes.height_least_mm:.1f} mm is "
            f"the least and {sizes.height_good_mm:.1f} mm reads with ease."
        )
    if stroke is not None and stroke < sizes.stroke_least_mm:
        found.append(
            f"Its thin strokes are {stroke:.2f} mm thick; at least {sizes.stroke_least_mm:.2f} mm "
            "is needed: take a heavier weight or a larger size."
        )
    return tuple(found)


def _colour_advice(item: Item, shown: Appearance, paint: Colour, stock: Stock) -> Iterator[str]:
    changed = _changed_sentence(shown, paint, stock)
    if changed:
        yield changed
    carries = shown.weakest
    if carries.contrast_ratio >= SHOWS:
        words = item.text is not None and not item.text.strip().isdecimal()
        if carries.contrast_ratio < READS and words:
            yield (
                f"Contrast {carries.contrast_ratio:.1f} of {carries.inner} against "
                f"{carries.outer} is enough for large figures only ({READS:g} reads well)."
            )
        return
    sinks = f"The {carries.inner} sink into the {carries.outer}"
    sinks += f" (contrast {carries.contrast_ratio:.1f}, {SHOWS:g} shows): "
    if stock.film is Film.CLEAR and not stock.white_below:
        yield sinks + _cure(paint)
    elif item.text is not None and item.colour != AUTO:
        yield sinks + "set its colour to auto, or give it an outline of the other lightness."
    else:
        yield sinks + "give it a ground or an outline of another lightness."


def _changed_sentence(shown: Appearance, paint: Colour, stock: Stock) -> str:
    """Return which inks the paint changes beyond recognition; nothing where it does not."""
    if stock.film is Film.WHITE or stock.white_below:
        return ""
    changed = [
        f"{name} {ink.code} comes out as {stock.seen(ink, paint).code}"
        for name, ink in shown.inks
        if delta_e_2000(ink, stock.seen(ink, paint)) > CHANGED
    ]
    if not changed:
        return ""
    told = " and ".join(changed)
    return f"On clear film over this paint {told}; white film or white ink below keeps it."


def _cure(paint: Colour) -> str:
    """Return the way out on clear film, best first, each with the contrast it would have."""
    on_white = contrast_ratio(DARK, PAPER)
    light = contrast_ratio(LIGHT, paint)
    dark = contrast_ratio(on_paint(DARK, paint, Film.CLEAR), paint)
    ways = [f"white film or white ink below, with dark letters on a white ground ({on_white:.0f})"]
    if light >= SHOWS:
        ways.append(f"white film or white ink below, with light letters ({light:.1f})")
    if dark >= SHOWS:
        ways.insert(0, f"dark letters ({dark:.1f})")
    return "clear film lets the paint through; use " + ", or ".join(ways) + "."
