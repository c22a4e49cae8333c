from __future__ import annotations

import socket

import pytest

from hillbench.cli.serving import LOOPBACK, NoFreePort, listen


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
