"""The app as a process of its own, which can be killed and started again."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Final

STARTS_WITHIN_S: Final = 40


class Program:
    """The app as a process of its own, which can be killed and started again."""

    def __init__(self, data: Path) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self._data = data
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        command = [sys.executable, "-m", "hillbench", "--data", str(self._data), "serve"]
        options = ["--port", str(self.port), "--no-browser"]
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
        self._process = subprocess.Popen(
            command + options,
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        until = time.monotonic() + STARTS_WITHIN_S
        while not self._answers():
            assert time.monotonic() < until, "the app did not start"
            time.sleep(0.1)

    def kill(self) -> None:
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait(10)
            self._process = None

    def _answers(self) -> bool:
        try:
            with urllib.request.urlopen(f"{self.address}/clock", timeout=1):
                return True
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            return False
