"""A planned sheet of decals in words and as an answer."""

from __future__ import annotations

from hillbench.decals.colour import Colour
from hillbench.usecases.decal_answer import (
    DecalAnswer,
    DecalItemAnswer,
    DecalNeighbours,
    DecalPlacement,
    DecalStep,
)
from hillbench.usecases.plan_decals import DecalPlan, Judged

ALL_WELL = "Fits, shows and reads."


def decal_answer(plan: DecalPlan) -> DecalAnswer:
    """Return a plan in the form of the answer file."""
    nesting = plan.nesting
    return DecalAnswer(
        sheets=nesting.sheets,
        bound=nesting.bound,
        proven=nesting.is_proven,
        used_fraction=nesting.used_fraction,
        placements=_placements(plan),
        items=tuple(item_answer(one) for one in plan.judged),
        gap_mm=max((piece.cut.gap_mm for piece in plan.pieces), default=plan.question.gap_mm),
        parted_groups=nesting.parted,
        steps=tuple(
            DecalStep(
                *(step.title, step.text, step.minutes, step.wait_min),
                *(step.wait_for, step.caution, step.source),
            )
            for step in plan.steps
        ),
    )


def tell_sheets(plan: DecalPlan) -> str:
    """Return how the pieces lie in one sentence."""
    nesting, count = plan.nesting, len(plan.pieces)
    sheets = f"{nesting.sheets} sheet{'s' if nesting.sheets != 1 else ''}"
    if nesting.is_proven:
        proof = f"{sheets} is the least" if nesting.sheets == 1 else f"{sheets} are the least"
    else:
        proof = f"{sheets}; fewer than {nesting.bound} cannot do"
    used = f"{100.0 * nesting.used_fraction:.0f} % used"
    return f"{count} piece{'s' if count != 1 else ''}: {proof}; {used}."


def tell_items(plan: DecalPlan) -> str:
    """Return how many items need something, in one sentence."""
    poor = [one for one in plan.judged if one.advice]
    if not poor:
        return "Every item fits, shows on its paint and can be read."
    names = ", ".join(dict.fromkeys(one.piece.item.name for one in poor))
    return f"{len(poor)} of {len(plan.judged)} need something: {names}."


def _placements(plan: DecalPlan) -> tuple[DecalPlacement, ...]:
    from shapely import affinity

    found = []
    for piece, spot in zip(plan.pieces, plan.nesting.spots, strict=True):
        turned = affinity.rotate(piece.cut.shape, spot.turn_deg, origin=(0.0, 0.0))
        left, top, right, bottom = turned.bounds
        found.append(
            DecalPlacement(
                *(piece.item.name, piece.label, spot.sheet + 1),
                *(round(left + spot.x_mm, 3), round(top + spot.y_mm, 3)),
                *(round(right - left, 3), round(bottom - top, 3), round(spot.turn_deg, 3)),
            )
        )
    return tuple(found)


def item_answer(one: Judged) -> DecalItemAnswer:
    """Return how one item fits and shows on one panel."""
    carries, pixels = one.shown.weakest, one.piece.art.pixels
    fit = one.fit
    return DecalItemAnswer(
        name=one.piece.item.name,
        panel=one.panel.name if one.panel is not None else None,
        fits=fit is None or fit.fits,
        hits=fit.hits if fit is not None else (),
        most_height_mm=one.piece.height_mm * fit.most_scale if fit is not None else None,
        contrast_ratio=carries.contrast_ratio,
        delta_e_2000=carries.delta_e_2000,
        against=carries.outer,
        neighbours=tuple(
            DecalNeighbours(
                *(pair.inner, pair.outer, pair.inner_colour.code, pair.outer_colour.code),
                *(pair.contrast_ratio, pair.delta_e_2000),
            )
            for pair in one.shown.neighbours
        ),
        ink=_ink(one).code,
        seen=carries.inner_colour.code,
        letter_height_mm=one.shown.letter_height_mm,
        stroke_mm=one.shown.stroke_mm,
        dots_per_inch=pixels.dots_per_inch if pixels is not None else None,
        advice=" ".join(one.advice) or ALL_WELL,
    )


def _ink(one: Judged) -> Colour:
    art = one.piece.art
    letters = art.part("letters")
    if letters is not None:
        return letters.colour
    if art.pixels is not None:
        return art.pixels.mean
    return max(art.fills, key=lambda fill: float(fill.shape.area)).colour
