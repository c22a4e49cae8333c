"""Who sent a request: this computer, or another device with the role of its invitation."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Depends, Request
from starlette.datastructures import Headers
from starlette.types import Scope

from hillbench.records.role import Role
from hillbench.web.hosts import LOOPBACK_HOSTS, host_name

LINK_COOKIE: Final = "hillbench_link"
NAME_COOKIE: Final = "hillbench_name"
LONGEST_NAME: Final = 60
_KEY: Final = "hillbench.visitor"


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who sent a request.

    Attributes
    ----------
    role
        What they may do; None for a device that was not invited.
    meet_id
        The meet they were invited to; None for the whole bench.
    here
        Whether it is this computer itself, whose user may do everything.
    label
        For whom the invitation is; empty on this computer.
    """

    role: Role | None
    meet_id: int | None = None
    here: bool = False
    label: str = ""

    @property
    def whole_bench(self) -> bool:
        """Whether they may use all places of the app."""
        return self.here or (self.role is Role.DIRECTOR and self.meet_id is None)


THIS_COMPUTER: Final = Visitor(Role.DIRECTOR, here=True)
STRANGER: Final = Visitor(None)


def set_visitor(scope: Scope, visitor: Visitor) -> None:
    """Note who sent a request."""
    scope[_KEY] = visitor


def visitor_of(request: Request) -> Visitor:
    """Return who sent a request; a stranger where nobody looked."""
    found: Visitor = request.scope.get(_KEY, STRANGER)
    return found


def is_this_computer(scope: Scope) -> bool:
    """Return whether a request comes from the computer that the app runs on.

    A connection from the server's own address cannot come from anywhere else, unless a proxy on
    this computer passes on what came from outside. So the address asked for must be this
    computer's own as well; a proxy is asked for by the name that it is known by.
    """
    client, server = scope.get("client"), scope.get("server")
    if client is None:
        return False
    asked = host_name(Headers(scope=scope).get("host", ""))
    try:
        loopback = ipaddress.ip_address(client[0]).is_loopback
    except ValueError:
        return False
    if loopback:
        return asked in LOOPBACK_HOSTS
    return server is not None and client[0] == server[0] == asked


def name_of(request: Request) -> str:
    """Return the name that the reader gave on this device; empty for none."""
    text = request.cookies.get(NAME_COOKIE, "")
    try:
        name = bytes.fromhex(text).decode()
    except ValueError:
        return ""
    return name if name.isprintable() and len(name) <= LONGEST_NAME else ""


def signature_of(request: Request) -> str:
    """Return who writes, as it stands in the journal: the name given and the invitation."""
    visitor, name = visitor_of(request), name_of(request)
    office = "director" if visitor.here else visitor.label or str(visitor.role or "stranger")
    return f"{name}, {office}" if name else office


Who = Annotated[Visitor, Depends(visitor_of)]
"""Who sent the request."""
