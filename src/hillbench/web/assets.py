"""Style sheets, scripts, fonts and drawings that ship in the package."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from typing import Final

from starlette.datastructures import MutableHeaders
from starlette.staticfiles import StaticFiles
from starlette.types import Message, Receive, Scope, Send

FOLDER: Final = Path(__file__).parent / "assets"


@cache
def edition() -> str:
    """Return a short hash of all assets; it changes when any of them does."""
    digest = hashlib.sha256()
    for path in sorted(FOLDER.rglob("*")):
        if path.is_file():
            digest.update(path.relative_to(FOLDER).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def asset_url(name: str) -> str:
    """Return the address of an asset; with the edition in it, so it can be kept for good.

    The edition is a folder, so that a style sheet reaches its fonts by a relative address.
    """
    return f"/assets/{edition()}/{name}"


class KeptFiles(StaticFiles):
    """Static files that the browser may keep for a year, since their address is their hash."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one file with its caching header."""

        async def send_kept(message: Message) -> None:
            if message["type"] == "http.response.start" and message["status"] in (200, 304):
                headers = MutableHeaders(scope=message)
                headers["cache-control"] = "public, max-age=31536000, immutable"
            await send(message)

        await super().__call__(scope, receive, send_kept)
