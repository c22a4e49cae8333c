"""Which role may ask for which address; what is not listed is refused."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from hillbench.records.role import Role
from hillbench.web.visitor import Visitor

_READ: Final = frozenset({"GET", "HEAD"})
_BOTH: Final = frozenset({"GET", "HEAD", "POST"})
_ALL: Final = frozenset(Role)
_OFFICIALS: Final = frozenset({Role.SCRUTINY, Role.CLOCK, Role.DIRECTOR})
_CLOCK: Final = frozenset({Role.CLOCK, Role.DIRECTOR})
_SCRUTINY: Final = frozenset({Role.SCRUTINY, Role.DIRECTOR})
_DIRECTOR: Final = frozenset({Role.DIRECTOR})
_NUMBER: Final = r"[1-9]\d{0,15}"
_MEET: Final = rf"/meets/(?P<meet>{_NUMBER})"
_PRINTED: Final = r"(sheet|card)\.(pdf|svg)|share\.png"


@dataclass(frozen=True, slots=True)
class _Rule:
    pattern: re.Pattern[str]
    methods: Collection[str]
    roles: Collection[Role]
    of_bench: bool = False


def _rule(
    pattern: str, methods: Collection[str], roles: Collection[Role], *, of_bench: bool = False
) -> _Rule:
    return _Rule(re.compile(pattern), methods, roles, of_bench)


_FOR_STRANGERS: Final = (
    _rule(r"/assets/.*", _READ, _ALL),
    _rule(r"/join(/.*)?", _BOTH, _ALL),
    _rule(r"/preferences", _BOTH, _ALL),
    _rule(r"/guide(/.*)?", _READ, _ALL),
)
_RULES: Final = (
    *_FOR_STRANGERS,
    _rule(r"/photos/[0-9a-f]{64}", _READ, _ALL),
    # What a code on a build sheet or a label leads to: to look at, and nothing beyond it.
    _rule(rf"/cars/{_NUMBER}", _READ, _ALL),
    _rule(rf"/builds/{_NUMBER}(/(work|ledger|prints|{_PRINTED}))?", _READ, _ALL),
    _rule(rf"/drawer/{_NUMBER}", _READ, _ALL),
    _rule(rf"{_MEET}/(board|cars|results)(/.*)?", _READ, _ALL),
    _rule(r"/meets", _READ, _ALL, of_bench=True),
    _rule(rf"{_MEET}/scrutiny(/.*)?", _BOTH, _SCRUTINY),
    _rule(rf"{_MEET}/(run|heats|undo|protests|journal)(/.*)?", _BOTH, _CLOCK),
    _rule(rf"{_MEET}(/.*)?", _BOTH, _DIRECTOR),
    _rule(r"/clock(/.*)?", _BOTH, _CLOCK, of_bench=True),
    _rule(r"/(?!bench/open).*", _BOTH, _DIRECTOR, of_bench=True),
)


def may(visitor: Visitor, method: str, path: str) -> bool:
    """Return whether a visitor may ask for an address.

    Parameters
    ----------
    visitor
        Who asks.
    method
        HTTP method.
    path
        Path of the address.
    """
    if visitor.here:
        return True
    rules = _FOR_STRANGERS if visitor.role is None else _RULES
    return any(_allows(rule, visitor, method, path) for rule in rules)


def _allows(rule: _Rule, visitor: Visitor, method: str, path: str) -> bool:
    if method not in rule.methods or (visitor.role is not None and visitor.role not in rule.roles):
        return False
    match = rule.pattern.fullmatch(path)
    if match is None or (rule.of_bench and visitor.meet_id is not None):
        return False
    meet = match.groupdict().get("meet")
    return meet is None or visitor.meet_id is None or int(meet) == visitor.meet_id


def landing(visitor: Visitor) -> str:
    """Return the page that a visitor begins on."""
    if visitor.meet_id is None:
        return "/" if visitor.role is Role.DIRECTOR else "/meets"
    pages = {
        Role.SCRUTINY: "/scrutiny",
        Role.CLOCK: "/run",
        Role.SPECTATOR: "/board",
        Role.DIRECTOR: "",
    }
    return f"/meets/{visitor.meet_id}{pages[visitor.role or Role.SPECTATOR]}"
