"""The names by which this computer calls itself, and the host that a request asks for."""

from __future__ import annotations

from typing import Final

LOOPBACK_HOSTS: Final = frozenset({"127.0.0.1", "localhost", "[::1]"})


def host_name(host: str) -> str:
    """Return the host of a ``Host`` header in lower case, without its port."""
    name, _, port = host.rpartition(":")
    return (name if name and port.isdecimal() else host).lower()
