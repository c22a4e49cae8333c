"""Addresses as codes that a phone's camera reads."""

from __future__ import annotations

from starlette.requests import Request

from hillbench.web.hosts import LOOPBACK_HOSTS


def outward_address(request: Request) -> str:
    """Return the address at which other devices reach the app, such as http://192.0.2.7:8064."""
    host: str = request.app.state.outward_host
    url = request.url
    if not host:
        return f"{url.scheme}://{request.headers['host']}"
    port = f":{url.port}" if url.port else ""
    return f"{url.scheme}://{host}{port}"


def outward_host(allowed_hosts: tuple[str, ...]) -> str:
    """Return the first host that is not this computer's own name for itself; empty for none."""
    return next((host for host in allowed_hosts if host.lower() not in LOOPBACK_HOSTS), "")


def qr_picture(text: str, title: str) -> str:
    """Return a code as SVG (ISO/IEC 18004, error correction level M), dark on white.

    Parameters
    ----------
    text
        What it says.
    title
        What it is, for those who cannot see it.
    """
    import segno  # only pages with a code need it

    rows = [list(row) for row in segno.make_qr(text, error="m").matrix]
    size = len(rows) + 8
    path = "".join(
        f"M{x + 4} {y + 4}h1v1h-1z"
        for y, row in enumerate(rows)
        for x, dark in enumerate(row)
        if dark
    )
    return (
        f'<svg class="qr" viewBox="0 0 {size} {size}" role="img" aria-label="{title}" '
        f'xmlns="http://www.w3.org/2000/svg" shape-rendering="crispEdges">'
        f'<rect width="{size}" height="{size}" fill="#fff"/><path d="{path}" fill="#000"/></svg>'
    )
