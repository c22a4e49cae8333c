"""Phones at a race day as threads: spectators that poll the board, officials that write.

All run on this computer; the header that a proxy sets tells the server which device each one
is, so that it is let in by its code and counted by itself.
"""

from __future__ import annotations

import http.client
import socket
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from threading import Event
from typing import Final
from urllib.parse import urlencode

POLLS_EVERY_S: Final = 2.0
"""As often as the board asks for news."""

_GONE: Final = (OSError, http.client.HTTPException)


@dataclass
class Device:
    """One phone with its connection.

    Attributes
    ----------
    port
        Of the server.
    address
        Of the phone.
    token
        Of its invitation.
    waits_ms
        How long each answer took, ms; not counted while the server was not there.
    statuses
        How often each status came.
    """

    port: int
    address: str
    token: str
    waits_ms: list[float] = field(default_factory=list)
    statuses: dict[int, int] = field(default_factory=dict)
    _connection: http.client.HTTPConnection | None = None

    def ask(
        self, method: str, path: str, form: Mapping[str, str] | None = None
    ) -> tuple[int, Mapping[str, str]] | None:
        """Send a request; return status and headers, or None where the server was not there."""
        headers = {
            "x-forwarded-for": self.address,
            "cookie": f"hillbench_link={self.token}",
            "hx-request": "true" if method == "GET" else "false",
        }
        body = None
        if form is not None:
            body = urlencode(form)
            headers["content-type"] = "application/x-www-form-urlencoded"
        begun_s = time.perf_counter()
        try:
            if self._connection is None:
                self._connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=15)
            self._connection.request(method, path, body, headers)
            answer = self._connection.getresponse()
            answer.read()
        except _GONE:
            if self._connection is not None:
                self._connection.close()
            self._connection = None
            return None
        self.waits_ms.append(1000.0 * (time.perf_counter() - begun_s))
        self.statuses[answer.status] = self.statuses.get(answer.status, 0) + 1
        return answer.status, dict(answer.getheaders())


def watch_board(device: Device, meet_id: int, first_s: float, stop: Event) -> None:
    """Ask for the board as its page does, until stopped."""
    seen = -1
    stop.wait(first_s)
    while not stop.is_set():
        answer = device.ask("GET", f"/meets/{meet_id}/board/live?seen={seen}")
        if answer is not None and answer[0] == 200:
            seen = int(answer[1]["etag"].strip('"').split(".")[1])
        stop.wait(POLLS_EVERY_S)


@dataclass
class Official:
    """One who writes at a steady pace, each entry again until it is acknowledged.

    Attributes
    ----------
    device
        The phone.
    entries
        Gives path and form of the entry of a number.
    acknowledged
        Keys of the entries that the server said it has.
    refused
        Statuses of entries that the server refused, by key.
    """

    device: Device
    entries: Callable[[int], tuple[str, dict[str, str]]]
    name: str
    acknowledged: list[str] = field(default_factory=list)
    refused: dict[str, int] = field(default_factory=dict)

    def work(self, first_s: float, every_s: float, stop: Event) -> None:
        """Write until stopped."""
        number = 0
        stop.wait(first_s)
        while not stop.is_set():
            number += 1
            key = f"{self.name}-{number}"
            path, form = self.entries(number)
            while True:
                answer = self.device.ask("POST", path, {**form, "entry_key": key})
                if answer is not None or stop.is_set():
                    break
                time.sleep(0.1)
            if answer is not None and answer[0] == 303:
                self.acknowledged.append(key)
            elif answer is not None:
                self.refused[key] = answer[0]
            stop.wait(every_s)


def flood(port: int, token: str, meet_id: int, seconds: float, connections: int) -> tuple[int, int]:
    """Ask as fast as one phone can over a few connections, without awaiting each answer.

    Returns how many requests were sent, and how many were answered with 200 or 204.
    """
    one = (
        f"GET /meets/{meet_id}/board/live HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n"
        f"X-Forwarded-For: 10.9.9.9\r\nCookie: hillbench_link={token}\r\n\r\n"
    ).encode()
    sockets = [socket.create_connection(("127.0.0.1", port)) for _ in range(connections)]
    for each in sockets:
        each.setblocking(False)
    block, sent, served = one * 20, 0, 0
    begun_s = time.monotonic()
    while time.monotonic() - begun_s < seconds:
        for each in sockets:
            with suppress(OSError):
                sent += each.send(block)
            with suppress(OSError):
                got = each.recv(65536)
                served += got.count(b"HTTP/1.1 200") + got.count(b"HTTP/1.1 204")
        time.sleep(0.002)
    for each in sockets:
        each.close()
    return sent // len(one), served
