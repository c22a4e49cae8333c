"""A screw in a post: drill, thread, depths and torque, several ways side by side."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput
from hillbench.fastening.depth import tap_kinds
from hillbench.fastening.material import materials
from hillbench.fastening.torque import frictions
from hillbench.pictures.fastening import fastening_picture
from hillbench.usecases.show_thread import ShownThread, show_thread
from hillbench.usecases.tell_thread import BENCH_CAUTION
from hillbench.usecases.thread_answer import ThreadAnswer
from hillbench.usecases.thread_question import HEADS, ThreadQuestion
from hillbench.web.answer import refuse, show
from hillbench.web.asking import Units
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_FORM: Final = "thread"
_BARE: Final = re.compile(r"[\d\s./,]+")
_LENGTHS: Final = {
    "screw_length_mm": "Screw under its head",
    "base_thickness_mm": "Thickness of the base",
    "post_height_mm": "Height of the post",
    "post_diameter_mm": "Diameter of the post",
    "gap_mm": "Gap between post and base",
    "base_span_mm": "Span of the base",
    "base_width_mm": "Width of the base",
    "engagement_mm": "Thread that meets",
    "rivet_head_diameter_mm": "Diameter of the rivet’s head",
    "rivet_head_height_mm": "Height of the rivet’s head",
}
_LABELS: Final = {
    "designation": "Thread",
    "drill": "Drill",
    "method": "How",
    "percent": "Percent of a full thread wanted",
    "post_material": "Post",
    "screw_material": "Screw",
    "friction": "Friction",
    "head": "Head",
    "tap": "Tap",
    "safety_factor": "Safety factor",
    **_LENGTHS,
}
_EXAMPLE: Final = {
    "designation": "2-56",
    "drill": "#50",
    "screw_length_mm": "1/4 in",
    "base_thickness_mm": "1.2 mm",
    "post_height_mm": "9.2 mm",
    "post_diameter_mm": "4 mm",
}
_USUAL: Final = {
    "method": "tapped",
    "post_material": "zinc",
    "screw_material": "stainless",
    "friction": "dry",
    "head": "pan",
    "tap": "plug",
    "percent": "65",
    "safety_factor": "2",
}


@dataclass(frozen=True, slots=True)
class ThreadPage(Page):
    """A screw in a post.

    Attributes
    ----------
    typed
        The form.
    example
        Whether nothing was asked yet and an example is shown.
    sentence
        The answer, or what to put right.
    answer
        Its numbers; None where the question cannot be answered.
    advice
        What to do and to mind, a paragraph for each step.
    caution
        Stands under all advice about drilling.
    picture
        A cut through screw, base and post; None without an answer.
    choices
        What may be chosen for a field: value and words.
    length_unit
        Unit of bare lengths in the form.
    """

    template: ClassVar[str] = "bench/thread.html"
    place: ClassVar[str] = "bench"

    typed: Typed
    example: bool
    sentence: str
    answer: ThreadAnswer | None
    advice: tuple[str, ...]
    caution: str
    picture: Pictured | None
    choices: Mapping[str, tuple[tuple[str, str], ...]]
    length_unit: str


@router.get("/bench/thread")
def show_thread_page(request: Request, preferences: Units) -> Response:
    """Show what a screw comes to, by the question in the address."""
    asked = tuple(
        (name, value) for name, value in request.query_params.multi_items() if name in _LABELS
    )
    example = not asked
    held = {**_USUAL, **(_EXAMPLE if example else {}), **dict(asked)}
    answers = Answers(_FORM, tuple(held.items()), preferences, _LABELS)
    try:
        shown = show_thread(_question(answers, preferences))
    except InvalidInput as wrong:
        page = _page(answers.refused(wrong), None, preferences, example=False)
        return refuse(request, page)
    return show(request, _page(answers.as_typed, shown, preferences, example=example))


def _question(answers: Answers, preferences: Preferences) -> ThreadQuestion:
    percent = answers.quantity("percent", units.NUMBER)
    factor = answers.quantity("safety_factor", units.NUMBER)
    answers.require()
    asked: dict[str, Any] = {name: answers.text(name).strip() for name in ("designation", *_USUAL)}
    asked |= {name: _length(answers.text(name), preferences) for name in _LENGTHS}
    asked |= {"drill": answers.text("drill").strip() or None}
    asked |= {"percent": percent, "safety_factor": factor}
    return ThreadQuestion(**asked)


def _length(text: str, preferences: Preferences) -> str | None:
    """Return a length as typed, a bare number with the reader's unit; None where empty."""
    length = text.strip()
    if preferences.length_unit == "in" and _BARE.fullmatch(length):
        return f"{length} in"
    return length or None


def _page(
    typed: Typed, shown: ShownThread | None, preferences: Preferences, *, example: bool
) -> ThreadPage:
    return ThreadPage(
        typed=typed,
        example=example,
        sentence=shown.sentence if shown else "A screw in a post",
        answer=shown.answer if shown else None,
        advice=shown.advice if shown else (),
        caution=BENCH_CAUTION,
        picture=_picture(shown) if shown else None,
        choices=_choices(),
        length_unit=preferences.length_unit,
    )


def _picture(shown: ShownThread) -> Pictured:
    case = shown.case
    return pictured(
        lambda width, key: fastening_picture(
            case.option,
            case.setting,
            case.stack,
            case.depths,
            shown.sentence,
            width_px=width,
            key=key,
        ),
        "thread",
    )


def _choices() -> dict[str, tuple[tuple[str, str], ...]]:
    of_use = {
        use: tuple((name, one.words) for name, one in materials().items() if one.use == use)
        for use in ("post", "screw")
    }
    return {
        "method": (("tapped", "tapped"), ("formed", "formed by the screw")),
        "post_material": of_use["post"],
        "screw_material": of_use["screw"],
        "friction": tuple((name, name) for name in frictions()),
        "head": tuple((name, name) for name in HEADS),
        "tap": tuple((name, name) for name in tap_kinds()),
    }
