"""Printed sheets through the app: what they say, their address, and what is refused."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from PIL import Image

from hillbench.records.role import Role
from hillbench.usecases.invite import invite
from hillbench.web.app import create_app
from hillbench.web.visitor import LINK_COOKIE
from tests.sheets.pdf_reading import opened, text
from tests.usecases.builds import NOW, Bench, begun, bench
from tests.web.conftest import CheckedClient


@dataclass(frozen=True)
class Shop:
    """A bench with a build in hand, and a client of its app."""

    bench: Bench
    build_id: int
    client: CheckedClient

    def get(self, path: str, **headers: str) -> bytes:
        answer = self.client.get(path, headers=headers)
        assert answer.status_code == 200, answer.text[:300]
        return bytes(answer.content)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder: Path = tmp_path_factory.mktemp("prints")
    with bench(folder / "bench") as held:
        build_id = begun(held)
        hosts = ("127.0.0.1", "192.168.1.23")
        app = create_app(held.book, clock=lambda: NOW, allowed_hosts=hosts)
        yield Shop(held, build_id, CheckedClient(app))


def said(data: bytes, page: int = 0) -> str:
    return " ".join(text(data, page).split())


def test_the_build_sheet_says_what_the_bench_book_holds(shop: Shop) -> None:
    data = shop.get(f"/builds/{shop.build_id}/sheet.pdf")
    told = said(data)
    for words in (
        *("Second round", "No. 7, on the casting Marsh Runner", "still in hand", "37.20 ± 0.01 g"),
        *("3 × quarter ounce, planned", "+21.26 g", "57.00 g", "Fasteners", "2-56"),
        *("Keep in mind", "Handle lead as little as you can", "Print at 100 %"),
    ):
        assert words in told, words
    with opened(data) as pdf:
        assert len(pdf.pages) == 1
        assert [float(v) for v in pdf.pages[0].mediabox][2:] == pytest.approx(
            [595.276, 841.89], abs=0.02
        )


def test_paper_is_chosen_and_an_unknown_one_refused(shop: Shop) -> None:
    with opened(shop.get(f"/builds/{shop.build_id}/sheet.pdf?paper=Letter")) as pdf:
        assert [float(v) for v in pdf.pages[0].mediabox][2:] == pytest.approx([612, 792], abs=0.02)
    refused = shop.client.get(f"/builds/{shop.build_id}/sheet.pdf?paper=A3")
    assert refused.status_code == 422
    assert "one of: A4, Letter" in refused.text


def test_the_code_holds_the_address_the_reader_came_by(shop: Shop) -> None:
    path = f"/builds/{shop.build_id}"
    _, token = invite(shop.bench.book, Role.SPECTATOR, "a phone", NOW)
    phone = CheckedClient(shop.client.app, client=("192.168.1.50", 5000))
    phone.cookies.set(LINK_COOKIE, token)
    told = said(
        Shop(shop.bench, shop.build_id, phone).get(f"{path}/sheet.pdf", host="192.168.1.23:8064")
    )
    assert f"192.168.1.23:8064{path}" in told.replace(" ", "")
    # Opened on the computer itself, while the app is open to the network.
    assert f"192.168.1.23:8064{path}" in said(shop.get(f"{path}/sheet.pdf")).replace(" ", "")


def test_where_no_phone_reaches_it_the_sheet_says_so(shop: Shop) -> None:
    alone = Shop(shop.bench, shop.build_id, CheckedClient(create_app(shop.bench.book)))
    path = f"/builds/{shop.build_id}"
    told = "No code: this Hillbench is reached from its own computer only."
    assert told in said(alone.get(f"{path}/sheet.pdf"))
    assert told in alone.get(f"{path}/prints").decode()
    assert told in alone.get("/drawer/labels").decode()


def test_a_bench_card_has_every_step(shop: Shop) -> None:
    data = shop.get(f"/builds/{shop.build_id}/card.pdf")
    with opened(data) as pdf:
        count = len(pdf.pages)
    told = " ".join(said(data, page) for page in range(count))
    from hillbench.usecases.show_build import show_build

    for one in show_build(shop.bench.book, shop.build_id, NOW).steps:
        assert " ".join(one.step.title.split()) in told
    assert "Care: Wear eye protection" in told
    assert shop.client.get(f"/builds/{shop.build_id}/card.svg?page=99").status_code == 422


def test_svg_and_png_are_what_they_say(shop: Shop) -> None:
    root = ET.fromstring(shop.get(f"/builds/{shop.build_id}/sheet.svg"))
    assert root.get("width") == "210mm"
    image = Image.open(BytesIO(shop.get(f"/builds/{shop.build_id}/share.png")))
    assert image.size == (1200, 630)


def test_the_page_leads_to_all_of_them(shop: Shop) -> None:
    page = shop.get(f"/builds/{shop.build_id}/prints?paper=Letter").decode()
    for name in ("sheet.pdf?paper=Letter", "sheet.svg", "card.pdf", "share.png"):
        assert f"/builds/{shop.build_id}/{name}" in page
    assert f"http://192.168.1.23:8064/builds/{shop.build_id}" in page


def test_labels_of_some_or_all(shop: Shop) -> None:
    page = shop.get(f"/drawer/labels?item={shop.bench.piece_id}").decode()
    assert page.count(" checked") == 2  # the paper and the one item
    everything = said(shop.get("/drawer/labels.pdf"))
    for name in ("quarter ounce", "2-56 × 1/4 in pan", "clear film", "graphite"):
        assert name in everything
    assert "lead, 19 × 13 × 2.6 mm, 7.087 g" in everything
    assert "clear, 210 × 297 mm" in everything
    one = shop.get(f"/drawer/labels.pdf?item={shop.bench.screw_id}&paper=label")
    assert "quarter ounce" not in said(one)
    with opened(one) as pdf:
        assert float(pdf.pages[0].mediabox[2]) == pytest.approx(62 / 25.4 * 72, abs=0.02)


@pytest.mark.parametrize(
    "path",
    [
        "/builds/999/sheet.pdf",
        "/builds/999/prints",
        "/builds/x/card.pdf",
        "/drawer/labels.pdf?item=999",
    ],
)
def test_what_is_not_there_is_not_found(shop: Shop, path: str) -> None:
    assert shop.client.get(path).status_code == 404


def test_files_are_saved_under_a_plain_name(shop: Shop) -> None:
    answer = shop.client.get(f"/builds/{shop.build_id}/sheet.pdf")
    assert answer.headers["content-disposition"] == 'inline; filename="Second-round-sheet.pdf"'
    assert answer.headers["content-type"] == "application/pdf"
