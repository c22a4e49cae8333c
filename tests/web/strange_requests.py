"""Requests nobody should send: every address of the app, with strange numbers, words and forms."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random
from typing import Final
from urllib.parse import quote, urlencode

from fastapi.routing import APIRoute

from hillbench.web.app import ROUTERS
from tests.web.form_fields import Fields, forms_of

_NUMBERS: Final = ("1", "2", "3", "4", "7", "0", "-1", "99999", "1000000000000000", str(2**63))
_WORDS: Final = (
    *("absent", "present", "withdraw", "again", "false-start", "receive", "send-back", "places"),
    *("car", "track", "weighing", "side", "top", "svg", "json", "first-race-day", "a" * 64),
    *("..", "%00", "\u202e", "x' OR 1=1 --", "<script>", "1.1.1.1"),
)
_VALUES: Final = (
    *("", " ", "0", "-1", "1", "2", "3", "10.25", "1e400", "nan", "-inf", "9" * 400, "1_0", "٣"),
    *("10,5", "2 oz", "1/2 in", "12 parsecs", "yes", "no", "on", "clean", "no finish", "true"),
    *("2026-03-14", "2026-02-30", "0000-00-00", "timed heats", "double elimination", "director"),
    *("<script>alert(1)</script>", "'; DROP TABLE meet; --", "{{ 7 * 7 }}", "../../etc/passwd"),
    *(
        "=cmd|' /C calc'!A0",
        "\x00",
        "a\u202eb",
        "\ud800",
        "\U0001f3c1" * 30,
        "W" * 5000,
        "\r\n\r\n",
    ),
    *("{", "[]", '{"a": {"b": [1e999]}}', "finish 10.123\nfinish 10.456"),
)
_FIELDS: Final = (
    *("name", "note", "seen", "entry_key", "lane_1", "lane_2", "note_1", "heat", "car", "reason"),
    *("line", "confirmed", "format", "lanes", "rounds", "score", "car_name", "owner_name", "role"),
    *("label", "valid_hours", "signed_by", "mass_g", "question_0", "protest", "ruling", "back"),
    *("at", "waited_s", "closed", "cars", "page", "size", "track", "points", "held_on", "which"),
)
_PLACEHOLDER: Final = re.compile(r"{(\w+)}")


@dataclass(frozen=True)
class Strange:
    """One request.

    Attributes
    ----------
    method, path
        What is asked for; the path with its query.
    fields
        Of the form that is sent along.
    """

    method: str
    path: str
    fields: tuple[tuple[str, str], ...] = ()

    @property
    def body(self) -> bytes:
        """The form as it is sent."""
        return urlencode(list(self.fields), errors="surrogatepass").encode()


def all_routes() -> tuple[tuple[str, str], ...]:
    """Return method and path of each route of the app."""
    return tuple(
        (method, route.path)
        for router in ROUTERS
        for route in router.routes
        if isinstance(route, APIRoute)
        for method in sorted(route.methods or ())
    )


def any_request(rng: Random, routes: Sequence[tuple[str, str]]) -> Strange:
    """Return a request to one of the routes, all of it drawn from strange things."""
    method, template = rng.choice(routes)
    path = filled(template, rng)
    fields = tuple((_name(rng), _value(rng)) for _ in range(rng.randrange(6)))
    if method == "POST":
        return Strange(method, path, fields)
    query = urlencode(fields, errors="surrogatepass")
    return Strange(method, f"{path}?{query}" if query else path)


def filled(template: str, rng: Random | None = None) -> str:
    """Return the address of a route with its numbers and words filled in: 1 without `rng`."""
    if rng is None:
        return _PLACEHOLDER.sub("1", template)
    return _PLACEHOLDER.sub(lambda _: quote(_place(rng), safe=""), template)


def spoilt(form: Strange, rng: Random) -> Strange:
    """Return a form of a page with some of its fields changed, left out, or sent twice."""
    fields = list(form.fields)
    for _ in range(rng.randrange(4)):
        if not fields:
            break
        place = rng.randrange(len(fields))
        name, value = fields[place]
        change = rng.randrange(4)
        if change == 0:
            del fields[place]
        elif change == 1:
            fields.append((name, value))
        else:
            fields[place] = (name, _value(rng))
    return Strange(form.method, form.path, tuple(fields))


def forms_in(html: str) -> Iterator[Strange]:
    """Give the forms of a page that change something, filled in as they stand."""
    found: list[tuple[str, Fields]] = forms_of(html)
    for action, fields in found:
        yield Strange("POST", action, tuple(fields))


def _place(rng: Random) -> str:
    return rng.choice(_NUMBERS[:4] if rng.random() < 0.6 else (*_NUMBERS, *_WORDS))


def _name(rng: Random) -> str:
    return rng.choice(_FIELDS)


def _value(rng: Random) -> str:
    if rng.random() < 0.8:
        return rng.choice(_VALUES)
    return "".join(chr(rng.randrange(0x2FFF)) for _ in range(rng.randrange(12)))
