"""Serve the app from this computer: a free port, the browser, and a clean stop."""

from __future__ import annotations

import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from typing import Final

import typer
import uvicorn
from starlette.types import ASGIApp

from hillbench.errors import HillbenchError

FIRST_PORT: Final = 8064
LOOPBACK: Final = "127.0.0.1"
EVERYWHERE: Final = "0.0.0.0"  # noqa: S104 (only where the user asks for the local network)
_PORTS_TRIED: Final = 50


class NoFreePort(HillbenchError):
    """None of the ports tried can be listened on."""

    def __init__(self, first: int, last: int) -> None:
        super().__init__(
            f"No port from {first} to {last} is free on this computer; name another with --port."
        )


def listen(address: str, wanted_port: int) -> socket.socket:
    """Return a socket that listens on the wanted port, or on the next free one.

    Raises
    ------
    NoFreePort
        If none of the next fifty is free.
    """
    last = min(wanted_port + _PORTS_TRIED - 1, 65535)
    for port in range(wanted_port, last + 1):
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform != "win32":  # there it would share a port with another program
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((address, port))
        except OSError:
            listener.close()
            continue
        # Listening at once keeps a second start from taking the same port.
        listener.listen(128)
        return listener
    raise NoFreePort(wanted_port, last)


def serve_app(
    app: ASGIApp, listener: socket.socket, *, shown_host: str, wanted_port: int, browser: bool
) -> None:
    """Serve the app until it is stopped.

    Parameters
    ----------
    app
        The app.
    listener
        A listening socket, from `listen`.
    shown_host
        Name or address under which the app is told and opened.
    wanted_port
        Port asked for; told when another had to be taken.
    browser
        Whether to open a browser on the page.
    """
    port = listener.getsockname()[1]
    url = f"http://{shown_host}:{port}/"

    def started() -> None:
        if port != wanted_port:
            typer.echo(f"Port {wanted_port} is taken, so Hillbench uses {port}.")
        typer.echo(f"Hillbench is at {url} (Ctrl-C stops it).")
        threading.Thread(target=_warm_up, daemon=True).start()
        if browser:
            threading.Thread(target=webbrowser.open, args=(url,), daemon=True).start()

    config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False)
    try:
        _TellingServer(config, started).run(sockets=[listener])
    except KeyboardInterrupt:
        typer.echo("Stopped.")


class _TellingServer(uvicorn.Server):
    def __init__(self, config: uvicorn.Config, started: Callable[[], None]) -> None:
        super().__init__(config)
        self._tell_started = started

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            self._tell_started()


def _warm_up() -> None:
    """Load the compiled kernels before the first page asks for them."""
    from hillbench.usecases.warm_up import warm_up

    warm_up()
