"""A client whose every HTML answer is checked, on an empty bench book."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx
import pytest

from hillbench.records.bench_book import BenchBook
from hillbench.web.app import create_app
from tests.web.html_check import html_faults

with warnings.catch_warnings():
    # Starlette is moving its test client to another HTTP library; ours works with both.
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

NOW = datetime(2026, 3, 14, 18, 30, tzinfo=UTC)
BASE = "http://127.0.0.1:8064"


class CheckedClient(TestClient):
    """A browser of a kind: it does not follow redirects and refuses HTML with faults."""

    def __init__(self, app: Any, **options: Any) -> None:
        here = {"client": ("127.0.0.1", 50000), **options}
        super().__init__(app, base_url=BASE, follow_redirects=False, **here)
        self.checked = 0

    def request(self, method: str, url: Any, **options: Any) -> httpx.Response:
        """Send a request and check the answer."""
        response: httpx.Response = super().request(method, url, **options)
        if response.headers.get("content-type", "").startswith("text/html"):
            fragment = "<!DOCTYPE" not in response.text[:200]
            faults = html_faults(response.text, fragment=fragment)
            assert not faults, f"{method} {url}: {faults}\n{response.text}"
            self.checked += 1
        return response

    def htmx(self, method: str, url: str, **options: Any) -> httpx.Response:
        """Send a request as htmx does."""
        headers = {"hx-request": "true", **options.pop("headers", {})}
        return self.request(method, url, headers=headers, **options)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BenchBook]:
    """An empty bench book."""
    with BenchBook.open(tmp_path / "bench") as opened:
        yield opened


@pytest.fixture
def client(book: BenchBook) -> CheckedClient:
    """A client of the app on the empty bench book."""
    return CheckedClient(create_app(book, clock=lambda: NOW))
