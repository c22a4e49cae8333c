from __future__ import annotations

import socket
from pathlib import Path
from typing import Any

import pytest

from hillbench.cli import bench_app
from hillbench.cli.serving import LOOPBACK, NoFreePort, listen
from tests.web.conftest import CheckedClient


def test_a_taken_port_makes_way_for_the_next_free_one() -> None:
    with listen(LOOPBACK, 18_064) as first:
        port = first.getsockname()[1]
        with listen(LOOPBACK, port) as second:
            assert port < second.getsockname()[1] < port + 50
            assert second.getsockname()[0] == LOOPBACK


def test_no_free_port_is_told_in_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    def taken(*_: object) -> None:
        raise OSError(98, "Address already in use")

    monkeypatch.setattr(socket.socket, "bind", taken)
    with pytest.raises(NoFreePort, match="No port from 8064 to 8113 is free"):
        listen(LOOPBACK, 8064)


def test_a_name_that_a_proxy_passes_on_is_answered_and_is_not_this_computer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    served: list[Any] = []

    def keep(app: Any, listener: socket.socket, **_: object) -> None:
        listener.close()
        served.append(app)

    monkeypatch.setattr(bench_app, "serve_app", keep)
    bench_app.serve_bench(
        tmp_path, demo=False, port=18_064, browser=False, local_network=False,
        names=("race.example",),
    )  # fmt: skip
    for host, status in (("race.example", 403), ("other.example", 421), ("127.0.0.1", 200)):
        client = CheckedClient(served[0])
        assert client.get("/", headers={"host": host}).status_code == status
    served[0].state.bench.close()
