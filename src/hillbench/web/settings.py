"""Preferences of this device."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Form, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.preferences import CHOICES, COOKIE, KEPT_FOR_S, Preferences
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_LABELS: Final = {
    "mass_unit": "Mass",
    "length_unit": "Lengths on a car",
    "distance_unit": "Lengths on a track",
    "theme": "Light",
}


@dataclass(frozen=True, slots=True)
class PreferencesPage(Page):
    """Units and light of this device.

    Attributes
    ----------
    typed
        The form, holding what is chosen.
    """

    template: ClassVar[str] = "preferences.html"

    typed: Typed


@router.get("/preferences")
def show_preferences(request: Request, preferences: Units) -> Response:
    """Show the form with what is chosen now."""
    held = {name: getattr(preferences, name) for name in CHOICES}
    return show(request, PreferencesPage(Typed.holding("preferences", held)))


@router.post("/preferences")
def keep_preferences(request: Request, preferences: Units, form: Form) -> Response:
    """Keep what was chosen in a cookie."""
    answers = Answers("preferences", pairs(form), preferences, _LABELS)
    try:
        chosen = {name: answers.choice(name, allowed) for name, allowed in CHOICES.items()}
        answers.require()
    except InvalidInput as wrong:
        return refuse(request, PreferencesPage(answers.refused(wrong)))
    response = done(request, "/preferences", Flash("Preferences kept on this device."))
    response.set_cookie(
        COOKIE,
        Preferences.chosen(chosen).to_cookie(),
        max_age=KEPT_FOR_S,
        httponly=True,
        samesite="strict",
    )
    return response
