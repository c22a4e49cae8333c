"""The mass of a car through a build: a bar for each change, a dot for each weighing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.drawing import ROOMY_PX, WIDE_PX
from hillbench.pictures.labels import wrapped
from hillbench.pictures.scale import NO_BREAK, Scale, figure, nice_ticks, tick_figure

_TOP_PX: Final = 58.0
_BAR_PX: Final = 14.0
_LINE_PX: Final = 16.0
_WORDS_SHARE: Final = 0.34
_GAP_PX: Final = 12.0


@dataclass(frozen=True, slots=True)
class MassUnit:
    """The unit masses are told in.

    Attributes
    ----------
    name
        Its symbol.
    mass_g
        Its size, g.
    decimals
        Decimals of a mass in it.
    """

    name: str = "g"
    mass_g: float = 1.0
    decimals: int = 2

    def told(self, mass_g: float, *, signed: bool = False) -> str:
        """Return a mass in words."""
        text = figure(mass_g / self.mass_g, self.decimals)
        return f"{'+' if signed and mass_g > 0 else ''}{text}{NO_BREAK}{self.name}"


@dataclass(frozen=True, slots=True)
class LedgerBar:
    """One step in the picture.

    Attributes
    ----------
    words
        The step.
    before_g, after_g
        Mass expected before and after it, g.
    done
        Whether it is done.
    weighed_g, uncertainty_g
        What the scale said and the standard uncertainty of weighed less expected, g; None
        where it was not asked.
    disagrees
        Whether the two differ beyond their uncertainty.
    """

    words: str
    before_g: float
    after_g: float
    done: bool
    weighed_g: float | None = None
    uncertainty_g: float | None = None
    disagrees: bool = False


def ledger_picture(
    bars: Sequence[LedgerBar],
    limit_g: float | None = None,
    *,
    unit: MassUnit | None = None,
    width_px: int = WIDE_PX,
    key: str = "ledger",
    standalone: bool = False,
) -> str:
    """Return the ledger of a build as SVG.

    Parameters
    ----------
    bars
        Steps that change the mass or weigh it, in the order of the ledger.
    limit_g
        Most mass of the class, g; None for none.
    unit
        Unit masses are told in; grams by default.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    unit = unit or MassUnit()
    roomy = width_px >= ROOMY_PX
    left = _WORDS_SHARE * width_px if roomy else 6.0
    lines = [wrapped(bar.words, left - 16.0 if roomy else width_px - 96.0, 13.0) for bar in bars]
    heights = [
        len(text) * _LINE_PX + (_GAP_PX if roomy else _GAP_PX + _BAR_PX + 4.0) for text in lines
    ]
    x = _scale(bars, limit_g, left, width_px - (92.0 if roomy else 74.0))
    bottom = _TOP_PX + sum(heights)
    marks = [
        drawing.words(4.0, 18.0, f"Mass after each step, {unit.name}", "words-strong"),
        *_ticks(x, bottom, unit),
        *_limit(x, bottom, limit_g, unit),
    ]
    top = _TOP_PX
    for bar, text, height in zip(bars, lines, heights, strict=True):
        marks += _bar_marks(bar, text, top, x, width_px, roomy, unit)
        top += height
    size = (width_px, bottom + 30.0)
    sentence = ledger_sentence(bars, limit_g, unit)
    return drawing.picture(
        key, "Mass ledger of the build", sentence, size, marks, standalone=standalone
    )


def ledger_sentence(
    bars: Sequence[LedgerBar], limit_g: float | None = None, unit: MassUnit | None = None
) -> str:
    """Return the ledger in words.

    Parameters
    ----------
    bars
        Steps that change the mass or weigh it, in the order of the ledger.
    limit_g
        Most mass of the class, g; None for none.
    unit
        Unit masses are told in; grams by default.
    """
    unit = unit or MassUnit()
    if not bars:
        return "Nothing changes the mass."
    parts = [_bar_words(bar, unit) for bar in bars]
    end = "" if limit_g is None else f" The class allows {unit.told(limit_g)}."
    return "; ".join(parts) + "." + end


def _bar_words(bar: LedgerBar, unit: MassUnit) -> str:
    text = f"{bar.words}: {unit.told(bar.after_g)} expected"
    if bar.weighed_g is None:
        return text
    verdict = ", which disagrees" if bar.disagrees else ""
    return f"{text}, {unit.told(bar.weighed_g)} weighed{verdict}"


def _scale(bars: Sequence[LedgerBar], limit_g: float | None, left: float, right: float) -> Scale:
    masses = [mass for bar in bars for mass in (bar.before_g, bar.after_g)]
    masses += [bar.weighed_g for bar in bars if bar.weighed_g is not None]
    masses += [] if limit_g is None else [limit_g]
    low, high = min(masses, default=0.0), max(masses, default=1.0)
    room = max(0.08 * (high - low), 0.5)
    return Scale(max(low - room, 0.0), high + room, left, right)


def _ticks(x: Scale, bottom: float, unit: MassUnit) -> Iterator[drawing.Mark]:
    low, high = x.low / unit.mass_g, x.high / unit.mass_g
    ticks = nice_ticks(low, high, 5)
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    for tick in ticks:
        place = x(tick * unit.mass_g)
        yield drawing.line((place, _TOP_PX - 10.0), (place, bottom), "rule")
        text = tick_figure(tick, step)
        yield drawing.words(place, bottom + 18.0, text, "words-quiet", anchor="middle")


def _limit(
    x: Scale, bottom: float, limit_g: float | None, unit: MassUnit
) -> Iterator[drawing.Mark]:
    if limit_g is None:
        return
    place = x(limit_g)
    data = {"mark": "limit", "mass_g": f"{limit_g:.6g}"}
    yield drawing.line((place, _TOP_PX - 16.0), (place, bottom), "limit", data=data)
    words = f"limit {unit.told(limit_g)}"
    middle = (x.low_px + x.high_px) / 2.0
    anchor: drawing.Anchor = "end" if place > middle else "start"
    yield drawing.words(place, _TOP_PX - 22.0, words, "words-quiet", anchor=anchor)


def _bar_marks(
    bar: LedgerBar,
    text: Sequence[str],
    top: float,
    x: Scale,
    width_px: int,
    roomy: bool,
    unit: MassUnit,
) -> Iterator[drawing.Mark]:
    words_px = len(text) * _LINE_PX
    middle = top + (words_px / 2.0 + 2.0 if roomy else words_px + _BAR_PX / 2.0 + 4.0)
    quiet = "words" if bar.done else "words-quiet"
    for number, one in enumerate(text):
        yield drawing.words(4.0, top + 13.0 + number * _LINE_PX, one, quiet)
    change_g = bar.after_g - bar.before_g
    figures_y = middle + 4.0 if roomy else top + 13.0
    said = unit.told(bar.weighed_g) if bar.weighed_g is not None else ""
    if change_g:
        said = unit.told(change_g, signed=True)
    yield drawing.words(width_px - 4.0, figures_y, said, "words-quiet", "halo", anchor="end")
    if change_g:
        low, high = sorted((x(bar.before_g), x(bar.after_g)))
        style = "fill-accent" if change_g > 0.0 else "fill-rolling"
        if not bar.done:
            style = "gained" if change_g > 0.0 else "fill-muted"
        data = {
            "mark": "change",
            "before_g": f"{bar.before_g:.6g}",
            "after_g": f"{bar.after_g:.6g}",
        }
        width = max(high - low, 2.0)
        yield drawing.box(low, middle - _BAR_PX / 2.0, width, _BAR_PX, style, data=data)
    if bar.weighed_g is not None:
        yield from _weighing(bar, x, middle)


def _weighing(bar: LedgerBar, x: Scale, middle: float) -> Iterator[drawing.Mark]:
    """Yield the dot of a weighing, and the gap to what was expected where they disagree."""
    weighed_g = bar.weighed_g or 0.0
    if bar.uncertainty_g is not None:
        spread = 2.0 * bar.uncertainty_g
        ends = (x(bar.after_g - spread), middle), (x(bar.after_g + spread), middle)
        yield drawing.line(*ends, "line-before")
    if bar.disagrees:
        yield drawing.line((x(bar.after_g), middle), (x(weighed_g), middle), "cross")
    yield drawing.dot(x(weighed_g), middle, "warning" if bar.disagrees else "dot", radius=5.0)
