"""Letting other devices in: codes to scan, who came by them, and taking them back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from hillbench import units
from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import Invitation
from hillbench.records.names import clean_name
from hillbench.records.role import Role
from hillbench.usecases.invite import check_token, invite, join, list_invitations, revoke
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.gate_rules import landing
from hillbench.web.meet_frame import MeetHead, meet_head, meet_view
from hillbench.web.page import Page
from hillbench.web.qr import outward_address, qr_picture
from hillbench.web.typed import Answers, Typed
from hillbench.web.visitor import (
    LINK_COOKIE,
    LONGEST_NAME,
    NAME_COOKIE,
    Visitor,
    Who,
    name_of,
)

router = APIRouter()

_LABELS: Final = {"role": "Role", "label": "For whom", "valid_hours": "Hours", "name": "Your name"}
ROLE_OPTIONS: Final = (
    ("spectator", "spectator: looks at the board"),
    ("scrutiny", "scrutiny: measures and signs"),
    ("clock", "clock: starts heats and enters times"),
    ("director", "director: everything of the meet"),
)
"""The roles, as choices."""


@dataclass(frozen=True, slots=True)
class Guest:
    """One invitation as it is listed.

    Attributes
    ----------
    invitation
        The invitation.
    good
        Whether it still lets anyone in.
    """

    invitation: Invitation
    good: bool


@dataclass(frozen=True)
class PeoplePage(Page):
    """Who was invited to a meet.

    Attributes
    ----------
    head
        Of the meet.
    guests
        Latest first.
    invite
        The form of a new invitation, as typed.
    role_options
        Roles, as choices.
    code, address
        Picture and address of the code just made; empty for none.
    told
        For whom that code is; empty for none.
    reachable
        Whether other devices can reach the app at all.
    """

    template: ClassVar[str] = "meets/people.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    guests: tuple[Guest, ...]
    invite: Typed
    role_options: tuple[tuple[str, str], ...]
    code: str
    address: str
    told: str
    reachable: bool


@dataclass(frozen=True)
class BenchPeoplePage(Page):
    """Who was invited to the whole bench.

    Attributes
    ----------
    guests, invite, role_options, code, address, told, reachable
        As in `PeoplePage`.
    """

    template: ClassVar[str] = "meets/bench_people.html"
    place: ClassVar[str] = "meets"

    guests: tuple[Guest, ...]
    invite: Typed
    role_options: tuple[tuple[str, str], ...]
    code: str
    address: str
    told: str
    reachable: bool


@dataclass(frozen=True)
class JoinPage(Page):
    """Where a device is let in.

    Attributes
    ----------
    token
        As it came in the link.
    invitation
        What it lets the device do.
    join
        The form, as typed.
    """

    template: ClassVar[str] = "meets/join.html"

    token: str
    invitation: Invitation
    join: Typed


@router.get("/people")
def show_bench_people(request: Request, book: Book, now: Now) -> Response:
    """Show who was invited to the whole bench."""
    return show(request, _bench_page(request, book, now))


@router.post("/people")
def invite_to_bench(
    request: Request, book: Book, preferences: Units, now: Now, form: Form
) -> Response:
    """Make a code for the whole bench and show it."""
    answers = Answers("invite", pairs(form), preferences, _LABELS)
    try:
        made, token = _invite(book, answers, now, None)
    except InvalidInput as wrong:
        return refuse(request, _bench_page(request, book, now, answers.refused(wrong)))
    return show(request, _bench_page(request, book, now, made=(made, token)))


@router.get("/meets/{meet_id}/people")
def show_people(request: Request, book: Book, now: Now, visitor: Who, meet_id: Number) -> Response:
    """Show who was invited to a meet."""
    return show(request, _page(request, book, now, visitor, meet_id))


@router.post("/meets/{meet_id}/people")
def invite_to_meet(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    visitor: Who,
    meet_id: Number,
) -> Response:
    """Make a code for a meet and show it."""
    answers = Answers("invite", pairs(form), preferences, _LABELS)
    try:
        made, token = _invite(book, answers, now, meet_id)
    except InvalidInput as wrong:
        page = _page(request, book, now, visitor, meet_id, answers.refused(wrong))
        return refuse(request, page)
    return show(request, _page(request, book, now, visitor, meet_id, made=(made, token)))


@router.post("/meets/{meet_id}/people/{invitation}/revoke")
def revoke_of_meet(
    request: Request, book: Book, now: Now, meet_id: Number, invitation: Number
) -> Response:
    """Take an invitation to a meet back."""
    mine = {one.id for one in list_invitations(book, meet_id) if one.meet_id == meet_id}
    if invitation not in mine:
        raise NotFound("invitation", invitation)
    gone = revoke(book, invitation, now)
    return done(request, f"/meets/{meet_id}/people", Flash(f"{gone.label} is out."))


@router.post("/people/{invitation}/revoke")
def revoke_any(request: Request, book: Book, now: Now, invitation: Number) -> Response:
    """Take any invitation back."""
    gone = revoke(book, invitation, now)
    return done(request, "/people", Flash(f"{gone.label} is out."))


@router.get("/join/{token}")
def show_join(request: Request, book: Book, now: Now, token: str) -> Response:
    """Show what a code lets the device do; a spectator is let in at once."""
    found = check_token(book, token, now)
    if found.role is Role.SPECTATOR:
        return _let_in(book, token, now, "")
    typed = Typed.holding("join", {"name": name_of(request)})
    return show(request, JoinPage(token, found, typed))


@router.post("/join/{token}")
def join_as(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, token: str
) -> Response:
    """Let a device in under a name, which signs what is written there."""
    answers = Answers("join", pairs(form), preferences, _LABELS)
    found = check_token(book, token, now)
    try:
        name = clean_name(answers.text("name"), "name")
        if len(name) > LONGEST_NAME:
            seen = f"{len(name)} characters long"
            raise InvalidInput([Problem("name", seen, f"at most {LONGEST_NAME}", "shorten it")])
    except InvalidInput as wrong:
        return refuse(request, JoinPage(token, found, answers.refused(wrong)))
    return _let_in(book, token, now, name)


def _let_in(book: BenchBook, token: str, now: datetime, name: str) -> Response:
    found = join(book, token, now)
    visitor = Visitor(found.role, found.meet_id, label=found.label)
    response = RedirectResponse(landing(visitor), status_code=303)
    lasts_s = max(int((found.expires_at - now).total_seconds()), 1)
    # Lax: the way here begins in the camera, outside of the browser.
    response.set_cookie(LINK_COOKIE, token, max_age=lasts_s, httponly=True, samesite="lax")
    if name:
        hidden = name.encode().hex()
        response.set_cookie(NAME_COOKIE, hidden, max_age=lasts_s, httponly=True, samesite="lax")
    return response


def _invite(
    book: BenchBook, answers: Answers, now: datetime, meet_id: int | None
) -> tuple[Invitation, str]:
    role = Role(answers.choice("role", list(Role)))
    hours = answers.quantity("valid_hours", units.NUMBER, required=False)
    answers.require()
    label = answers.text("label").strip() or str(role)
    return invite(book, role, label, now, meet_id=meet_id, valid_hours=hours or 12.0)


def _page(
    request: Request,
    book: BenchBook,
    now: datetime,
    visitor: Visitor,
    meet_id: int,
    typed: Typed | None = None,
    made: tuple[Invitation, str] | None = None,
) -> PeoplePage:
    view = meet_view(request, book, meet_id)
    listed = list_invitations(book, meet_id)
    # Who was let in to the whole bench is no business of a guest.
    known = [one for one in listed if one.meet_id == meet_id or visitor.whole_bench]
    address = "" if made is None else f"{outward_address(request)}/join/{made[1]}"
    return PeoplePage(
        head=meet_head(request, view, "people"),
        guests=tuple(Guest(one, one.is_good(now)) for one in known),
        invite=typed or Typed.holding("invite", {"role": "spectator", "valid_hours": "12"}),
        role_options=ROLE_OPTIONS,
        code=qr_picture(address, "Code to scan") if address else "",
        address=address,
        told="" if made is None else f"{made[0].label}, {made[0].role}",
        reachable=request.app.state.reachable,
    )


def _bench_page(
    request: Request,
    book: BenchBook,
    now: datetime,
    typed: Typed | None = None,
    made: tuple[Invitation, str] | None = None,
) -> BenchPeoplePage:
    address = "" if made is None else f"{outward_address(request)}/join/{made[1]}"
    return BenchPeoplePage(
        guests=tuple(Guest(one, one.is_good(now)) for one in list_invitations(book, None)),
        invite=typed or Typed.holding("invite", {"role": "clock", "valid_hours": "12"}),
        role_options=ROLE_OPTIONS,
        code=qr_picture(address, "Code to scan") if address else "",
        address=address,
        told="" if made is None else f"{made[0].label}, {made[0].role}",
        reachable=request.app.state.reachable,
    )
