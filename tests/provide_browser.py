"""The browser that the browser tests drive: found on this machine, or fetched where it can be."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

VARIABLE: Final = "HILLBENCH_BROWSER"
"""Environment variable that names the browser's file."""

_SECONDS: Final = 240
_NAMES: Final = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "microsoft-edge",
    "msedge",
)
_PLACES: Final = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "${ProgramFiles}/Google/Chrome/Application/chrome.exe",
    "${ProgramFiles(x86)}/Google/Chrome/Application/chrome.exe",
    "${LocalAppData}/Google/Chrome/Application/chrome.exe",
    "${ProgramFiles(x86)}/Microsoft/Edge/Application/msedge.exe",
)
_DOWNLOADS: Final = ("~/.cache", "~/Library/Caches", "${LocalAppData}")


def find_browser() -> str:
    """Return the file of a browser that can be driven; empty where there is none."""
    named = os.environ.get(VARIABLE)
    if named:
        return named
    on_path = [place for place in map(shutil.which, _NAMES) if place]
    usual = [place for place in map(os.path.expandvars, _PLACES) if Path(place).is_file()]
    found = [*on_path, *usual, *_downloaded()]
    return found[0] if found else ""


def provide_browser(python: Path, environment: Mapping[str, str]) -> str:
    """Return the file of a browser, installing one where none is found.

    Parameters
    ----------
    python
        A Python that has Playwright.
    environment
        Environment variables for the installers.

    Returns
    -------
    str
        Empty where no browser can be had; that is said on standard output.
    """
    browser = find_browser() or _fetch_browser(python, environment)
    if not browser:
        print(  # noqa: T201
            "There is no Chromium, Chrome or Edge here and none could be fetched, so the browser "
            f"tests are skipped: install one, or name its file in {VARIABLE}.",
            flush=True,
        )
    return browser


def _fetch_browser(python: Path, environment: Mapping[str, str]) -> str:
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    if sys.platform == "linux" and is_root and shutil.which("apt-get"):
        print("Installing Chromium for the browser tests", flush=True)  # noqa: T201
        quiet = {**environment, "DEBIAN_FRONTEND": "noninteractive"}
        install = ["apt-get", "install", "-y", "--no-install-recommends", "chromium"]
        if _succeeds(["apt-get", "update"], quiet) and _succeeds(install, quiet):
            return find_browser()
    print("Downloading a browser for the browser tests", flush=True)  # noqa: T201
    download = [str(python), "-m", "playwright", "install", "chromium-headless-shell"]
    _succeeds(download, environment)
    return find_browser()


def _downloaded() -> list[str]:
    """Return the browsers that Playwright has downloaded for this user, newest first."""
    folders = [Path(os.path.expandvars(place)).expanduser() for place in _DOWNLOADS]
    names = ("chrome-headless-shell", "headless_shell")
    found = [
        str(place)
        for folder in folders
        for name in names
        for suffix in ("", ".exe")
        for place in folder.glob(f"ms-playwright/chrom*/**/{name}{suffix}")
        if place.is_file()
    ]
    return sorted(found, reverse=True)


def _succeeds(command: Sequence[str], environment: Mapping[str, str]) -> bool:
    try:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=environment,
            timeout=_SECONDS,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0
