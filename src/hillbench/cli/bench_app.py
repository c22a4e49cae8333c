"""The app put together with its bench books and served."""

from __future__ import annotations

import socket
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

import typer

from hillbench.cli.serving import EVERYWHERE, LOOPBACK, listen, serve_app
from hillbench.records.bench_book import BenchBook
from hillbench.web.app import create_app
from hillbench.web.security import LOOPBACK_HOSTS

DEMO_SEED: Final = 64
_PEOPLE: Final = "Meets, Let other devices in"


def serve_bench(
    folder: Path,
    *,
    database: str | None = None,
    demo: bool,
    port: int,
    browser: bool,
    local_network: bool,
    names: tuple[str, ...] = (),
) -> None:
    """Serve the app on a bench, the reader's own or the demo, until it is stopped.

    Parameters
    ----------
    folder
        Data folder of one's own bench.
    database
        Address of the database of one's own bench on a server; None for a file in the folder.
    demo
        Whether the demo is shown first; a button in the app changes between the two.
    port
        Port wanted.
    browser
        Whether to open a browser.
    local_network
        Whether other devices of the network are let in.
    names
        Under which a proxy on this computer passes requests of other devices on.
    """

    def own_book() -> BenchBook:
        return BenchBook.open_on_server(folder, database) if database else BenchBook.open(folder)

    def demo_book() -> BenchBook:
        from hillbench.demo.open_demo import open_demo

        return open_demo(folder, seed=DEMO_SEED, now=datetime.now(UTC)).book

    hosts = _network_names() if local_network else []
    app = create_app(
        demo_book() if demo else own_book(),
        demo=demo,
        openers={"own": own_book} if demo else {"demo": demo_book},
        allowed_hosts=(*LOOPBACK_HOSTS, *names, *hosts),
    )
    if local_network:
        typer.echo(f"Other devices need a code: make one on this computer at {_PEOPLE}.")
    listener = listen(EVERYWHERE if local_network else LOOPBACK, port)
    shown = hosts[0] if hosts else LOOPBACK
    serve_app(app, listener, shown_host=shown, wanted_port=port, browser=browser)


def _network_names() -> list[str]:
    """Return the addresses and names of this computer in its network, best first."""
    name = socket.gethostname()
    found = [_outward_address(), name, f"{name}.local"]
    return [host for host in dict.fromkeys(found) if host]


def _outward_address() -> str:
    """Return the address of the interface that leads outward; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # documentation address, RFC 5737
        except OSError:
            return ""
        return str(probe.getsockname()[0])
