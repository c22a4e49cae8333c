"""Lay out a sheet of decals and judge every item on its panel."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from hillbench.decals.appearance import Appearance, advise, choose_ink, judge
from hillbench.decals.apply_plan import Application, ApplyStep, apply_steps
from hillbench.decals.artwork import colours_of
from hillbench.decals.colour import Colour, parse_colour
from hillbench.decals.film import PAPER, Film
from hillbench.decals.habit import largest_box
from hillbench.decals.item import Item, Place
from hillbench.decals.legibility import readable_sizes
from hillbench.decals.nest import Nesting, Outline, nest
from hillbench.decals.panel import Panel, keep_out_shape, room_of
from hillbench.decals.placing import Fit, check_fit, placed_shape
from hillbench.decals.prints import Piece, list_pieces
from hillbench.sheets.decal_sheet import DecalSheets, LaidPiece, nesting_size
from hillbench.usecases.decal_question import Arts, DecalQuestion, check_decal_question

_NEAR_MM = 0.6
GOOD_DPI = 300.0
"""Dots per inch below which a picture looks soft at reading distance: common practice."""


@dataclass(frozen=True, slots=True)
class Judged:
    """One item on one panel.

    Attributes
    ----------
    piece
        As printed.
    panel
        The panel; None where it has no place.
    fit
        How it sits; None without panels.
    shown
        How it shows.
    paint
        What it lies on.
    advice
        What to do, one sentence each.
    """

    piece: Piece
    panel: Panel | None
    fit: Fit | None
    shown: Appearance
    paint: Colour
    advice: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DecalPlan:
    """A planned sheet with all that was found.

    Attributes
    ----------
    question
        What was asked.
    pieces
        Every piece.
    nesting
        Where they lie.
    judged
        Each item on each of its panels.
    steps
        How to put them on.
    """

    question: DecalQuestion
    pieces: tuple[Piece, ...]
    nesting: Nesting
    judged: tuple[Judged, ...]
    steps: tuple[ApplyStep, ...]


def plan_decals(question: DecalQuestion, arts: Arts) -> DecalPlan:
    """Return the sheets, and how every item fits and shows.

    Parameters
    ----------
    question
        What is asked.
    arts
        Art by the name items give it.

    Raises
    ------
    InvalidInput
        With everything that cannot be used.
    """
    check_decal_question(question)
    pieces = pieces_of(question, arts)
    nesting = nest(
        [Outline(one.cut.shape, one.item.grain_fixed, one.item.group) for one in pieces],
        nesting_size(question.sheet),
        question.piece_gap_mm,
        question.turns,
        most_sheets=question.most_sheets,
    )
    judged = judge_pieces(question, pieces)
    return DecalPlan(question, pieces, nesting, judged, steps_of(question, judged))


def steps_of(question: DecalQuestion, judged: tuple[Judged, ...]) -> tuple[ApplyStep, ...]:
    """Return how to put the decals on.

    Parameters
    ----------
    question
        What is asked.
    judged
        Each item on each of its panels.
    """
    return apply_steps(_applications(judged), white_film=question.film == Film.WHITE)


def pieces_of(question: DecalQuestion, arts: Arts) -> tuple[Piece, ...]:
    """Return every piece to be printed.

    Parameters
    ----------
    question
        What is asked.
    arts
        Art by name.
    """
    panels = {panel.name: panel for panel in question.panels}

    def ink_of(item: Item, panel: Panel | None) -> Colour:
        return choose_ink(item, _paint(panel, question), question.stock)

    return list_pieces(
        question.items,
        panels,
        arts,
        ink_of,
        gap_mm=question.gap_mm,
        radius_mm=question.corner_radius_mm,
    )


def judge_pieces(question: DecalQuestion, pieces: tuple[Piece, ...]) -> tuple[Judged, ...]:
    """Return how each item fits and shows on each panel it goes to.

    Parameters
    ----------
    question
        What is asked.
    pieces
        Every piece to be printed.
    """
    panels = {panel.name: panel for panel in question.panels}
    found = []
    seen: set[tuple[str, float, bool]] = set()
    for piece in pieces:
        if piece.place is not None:
            found.append(_judge(question, piece, panels[piece.place.panel], piece.place))
        elif not piece.item.places:
            key = (piece.item.name, piece.height_mm, piece.mirrored)
            if key not in seen:
                seen.add(key)
                found.append(_judge_loose(question, piece))
    return tuple(found)


def sheets_of(plan: DecalPlan) -> DecalSheets:
    """Return what is to be printed of a plan."""
    question = plan.question
    laid = tuple(
        LaidPiece(piece.label, piece.art, piece.cut.shape, spot)
        for piece, spot in zip(plan.pieces, plan.nesting.spots, strict=True)
    )
    colours = dict.fromkeys(ink for piece in plan.pieces for ink in colours_of(piece.art))
    return DecalSheets(
        question.title,
        question.sheet,
        laid,
        tuple(colours),
        white_page=question.white_layer,
        mirrored_page=question.mirrored_page,
        cut_printed=question.cutting == "scissors",
    )


def _paint(panel: Panel | None, question: DecalQuestion) -> Colour:
    if panel is not None:
        return parse_colour(panel.paint)
    paints = {one.paint for one in question.panels}
    return parse_colour(paints.pop()) if len(paints) == 1 else PAPER


def _judge(
    question: DecalQuestion, piece: Piece, panel: Panel | None, place: Place | None
) -> Judged:
    paint, stock = _paint(panel, question), question.stock
    shown = judge(piece.item, piece.art, piece.height_mm, paint, stock)
    fit = None
    if panel is not None and place is not None:
        fit = check_fit(piece.art, piece.cut, place, panel)
    advice = [*_fit_advice(piece, panel, fit)]
    advice += advise(piece.item, shown, paint, stock, readable_sizes(question.viewing))
    advice += _picture_advice(piece)
    return Judged(piece, panel, fit, shown, paint, tuple(advice))


def _judge_loose(question: DecalQuestion, piece: Piece) -> Judged:
    """Judge a piece without a place on the panel where it would have most room."""
    best: Judged | None = None
    left, top, right, bottom = piece.cut.shape.bounds
    for panel in question.panels:
        box = largest_box(room_of(panel), (right - left) / (bottom - top))
        if box is None:
            continue
        judged = _judge(question, piece, panel, Place(panel.name, box[0], box[1]))
        if best is None or _scale(judged) > _scale(best):
            best = judged
    if best is None:
        return _judge(question, piece, None, None)
    if best.fit is not None and not best.fit.fits:
        name = best.panel.name if best.panel else ""
        most = _most(piece, best.fit)
        first = f"It is larger than any panel; at most {most} mm high, on the {name}."
        return replace(best, advice=(first, *best.advice[1:]))
    return best


def _most(piece: Piece, fit: Fit) -> str:
    """Return the largest height that fits, rounded down so that it does."""
    return f"{math.floor(10.0 * piece.height_mm * fit.most_scale) / 10.0:.1f}"


def _scale(judged: Judged) -> float:
    return judged.fit.most_scale if judged.fit is not None else 0.0


def _fit_advice(piece: Piece, panel: Panel | None, fit: Fit | None) -> Iterator[str]:
    if panel is None or fit is None:
        return
    if not fit.fits:
        hits = " and ".join(fit.hits) or "a keep-out"
        cure = f"at most {_most(piece, fit)} mm high there" if fit.most_scale else "move it"
        yield f"It runs over {hits} of the {panel.name}: {cure}."
    width = piece.cut.shape.bounds[2] - piece.cut.shape.bounds[0]
    if panel.curvature == "two ways" and width > 0.5 * panel.size_mm()[0]:
        yield f"The {panel.name} curves both ways: a piece this wide folds; slit it or part it."


def _picture_advice(piece: Piece) -> Iterator[str]:
    pixels = piece.art.pixels
    if pixels is not None and pixels.dots_per_inch < GOOD_DPI:
        yield (
            f"The picture has {pixels.dots_per_inch:.0f} dots per inch at this size, "
            f"{GOOD_DPI:.0f} looks sharp: use a larger file or a smaller size."
        )


def _applications(judged: tuple[Judged, ...]) -> list[Application]:
    found = []
    for one in judged:
        if one.panel is None or one.piece.place is None:
            continue
        left, _, right, _ = one.piece.cut.shape.bounds
        near = _near(one.piece, one.piece.place, one.panel)
        found.append(Application(one.piece.item.name, one.panel, right - left, near))
    return found


def _near(piece: Piece, place: Place, panel: Panel) -> tuple[str, ...]:
    lain = placed_shape(piece.cut.shape, piece.art, place)
    names = [one.name for one in panel.keep_outs if keep_out_shape(one).distance(lain) < _NEAR_MM]
    return tuple(names)
