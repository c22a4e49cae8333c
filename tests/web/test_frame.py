"""The frame of the app: guards, headers, error pages, assets, preferences."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator

import pytest
from fastapi import FastAPI

from hillbench.records.bench_book import BenchBook
from hillbench.web.app import create_app
from hillbench.web.assets import asset_url
from hillbench.web.security import LARGEST_BODY
from tests.web.conftest import CheckedClient

CHOICE = {"mass_unit": "oz", "length_unit": "in", "distance_unit": "ft", "theme": "dark"}


def test_every_answer_carries_the_policy(client: CheckedClient) -> None:
    for path in ("/preferences", "/nowhere", asset_url("css/tokens.css")):
        headers = client.get(path).headers
        policy = dict(part.split(" ", 1) for part in headers["content-security-policy"].split("; "))
        assert policy["default-src"] == "'none'"
        assert policy["script-src"] == policy["style-src"] == "'self'"
        assert policy["frame-ancestors"] == "'none'"
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"


def test_pages_with_their_status(client: CheckedClient) -> None:
    assert client.get("/nowhere").status_code == 404
    assert client.get("/guide/../../etc/passwd").status_code == 404
    assert client.delete("/preferences").status_code == 405
    assert "Nothing at this address" in client.get("/nowhere").text


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},  # another port of this computer
        {"origin": "http://evil.example"},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site", "origin": "http://127.0.0.1:8064"},
    ],
)
def test_other_sites_cannot_post(client: CheckedClient, headers: dict[str, str]) -> None:
    response = client.post("/preferences", data=CHOICE, headers=headers)
    assert response.status_code == 403
    assert "set-cookie" not in response.headers
    assert "came from another site" in response.text


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"sec-fetch-site": "same-origin"},
        {"sec-fetch-site": "none"},
        {"origin": "http://127.0.0.1:8064"},
    ],
)
def test_the_app_itself_can_post(client: CheckedClient, headers: dict[str, str]) -> None:
    assert client.post("/preferences", data=CHOICE, headers=headers).status_code == 303


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "", "127.0.0.1@x"])
def test_other_hosts_get_no_answer(client: CheckedClient, host: str) -> None:
    assert client.get("/preferences", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost:8064", "LOCALHOST", "[::1]:8065"])
def test_this_computer_is_answered(client: CheckedClient, host: str) -> None:
    assert client.get("/preferences", headers={"host": host}).status_code == 200


def test_a_host_of_the_local_network_can_be_allowed(book: BenchBook) -> None:
    client = CheckedClient(create_app(book, allowed_hosts=["192.0.2.7"]))
    assert client.get("/preferences", headers={"host": "192.0.2.7:8064"}).status_code == 200
    assert client.get("/preferences").status_code == 421


def test_a_body_that_says_it_is_too_large(client: CheckedClient) -> None:
    response = client.post("/preferences", content=b"x" * (LARGEST_BODY + 1))
    assert response.status_code == 413
    assert "at most 25 MB" in response.text


def test_a_body_that_grows_too_large_without_saying_so(client: CheckedClient) -> None:
    def pieces() -> Iterator[bytes]:
        yield b"theme="
        for _ in range(LARGEST_BODY // 2**20 + 1):
            yield b"x" * 2**20

    form = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post("/preferences", content=pieces(), headers=form).status_code == 413


def test_an_unexpected_error_is_told_calmly(app_that_breaks: FastAPI) -> None:
    client = CheckedClient(app_that_breaks, raise_server_exceptions=False)
    response = client.get("/break")
    assert response.status_code == 500
    assert "secret detail" not in response.text
    assert "content-security-policy" in response.headers


@pytest.fixture
def app_that_breaks(book: BenchBook) -> FastAPI:
    app = create_app(book)

    @app.get("/break")
    def break_down() -> None:
        raise RuntimeError("secret detail")

    return app


def test_assets_are_kept_for_a_year(client: CheckedClient) -> None:
    response = client.get(asset_url("js/htmx.min.js"))
    assert response.status_code == 200
    assert response.headers["cache-control"] == "public, max-age=31536000, immutable"
    assert client.get(asset_url("js/gone.js")).status_code == 404
    assert client.get(asset_url("../app.py")).status_code == 404


def test_preferences_are_kept_on_the_device(client: CheckedClient) -> None:
    answer = client.post("/preferences", data=CHOICE)
    assert (answer.status_code, answer.headers["location"]) == (303, "/preferences")
    page = client.get("/preferences").text
    assert 'data-theme="dark"' in page
    assert 'value="oz" checked' in page
    assert "Preferences kept" in page
    assert "Preferences kept" not in client.get("/preferences").text


def test_an_unknown_preference_is_refused(client: CheckedClient) -> None:
    response = client.post("/preferences", data={**CHOICE, "mass_unit": "<b>stone</b>"})
    assert response.status_code == 422
    assert "allowed is one of: g, oz" in response.text
    assert "<b>stone" not in response.text


def test_a_damaged_cookie_gives_the_defaults(client: CheckedClient) -> None:
    client.cookies.set("hillbench_preferences", "theme=neon&mass_unit&%ff")
    assert 'data-theme="auto"' in client.get("/preferences").text


def test_a_planted_flash_offers_no_other_address(client: CheckedClient) -> None:
    client.cookies.set("hillbench_flash", "sentence=%3Cb%3Ehi&undo=https://evil.example/")
    page = client.get("/preferences").text
    assert "evil.example" not in page
    assert "&lt;b&gt;hi" in page


def test_the_app_starts_without_what_only_some_pages_need() -> None:
    code = "import sys, hillbench.web.app; print(*sys.modules)"
    command = [sys.executable, "-c", code]
    loaded = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()
    assert "fastapi" in loaded
    slow = {"scipy", "numba", "alembic", "PIL", "markdown_it", "uvicorn"}
    slow |= {"shapely", "fontTools", "ezdxf", "svgelements", "defusedxml", "reportlab", "ortools"}
    printing = {"reportlab", "pikepdf", "fontTools", "segno", "defusedxml"}
    assert (slow | printing).isdisjoint(loaded)
