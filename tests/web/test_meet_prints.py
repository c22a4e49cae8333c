"""A meet on paper: every heat, every place, and who gets a certificate."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from hillbench.records.bench_book import BenchBook
from hillbench.usecases.read_meet import read_meet
from hillbench.web.app import create_app
from tests.sheets.pdf_reading import opened, text
from tests.usecases.meets import NOW, open_meet, run_all, run_next
from tests.web.conftest import CheckedClient


@dataclass(frozen=True)
class RaceDay:
    """A meet that has begun and one that is over, and a client of the app."""

    book: BenchBook
    begun: int
    over: int
    client: CheckedClient

    def words(self, path: str) -> list[str]:
        answer = self.client.get(path)
        assert answer.status_code == 200, answer.text[:300]
        with opened(answer.content) as pdf:
            count = len(pdf.pages)
        return [" ".join(text(answer.content, page).split()) for page in range(count)]


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RaceDay]:
    with BenchBook.open(tmp_path_factory.mktemp("meets") / "bench") as book:
        begun, over = open_meet(book), open_meet(book, 4)
        run_next(book, begun)
        run_all(book, over)
        hosts = ("127.0.0.1", "192.168.1.23")
        client = CheckedClient(create_app(book, clock=lambda: NOW, allowed_hosts=hosts))
        yield RaceDay(book, begun, over, client)


def test_heats_are_there_by_lane_run_or_not(day: RaceDay) -> None:
    said = " ".join(day.words(f"/meets/{day.begun}/heats/print/heats.pdf"))
    state = read_meet(day.book, day.begun).state
    assert all(f"Lane {lane}" in said for lane in (1, 2, 3))
    for row in next(iter(state.heats.values())).rows.values():
        assert f"{row.time_s:.3f} s" in said
    for heat in state.plan:
        for car in filter(None, heat.cars):
            assert f"{car} Car {car}" in said
    assert f"192.168.1.23:8064/meets/{day.begun}/board" in said.replace(" ", "")


def test_results_are_those_of_the_page(day: RaceDay) -> None:
    said = " ".join(day.words(f"/meets/{day.over}/results/print/results.pdf?paper=Letter"))
    page = day.client.get(f"/meets/{day.over}/results").text
    assert said.count("Car ") >= 4
    assert "Results" in said
    for car, best in ((1, "10.051"), (4, "10.201")):
        assert f"Car {car}" in said
        assert best in said
        assert best in page
    assert "results/print/certificates.pdf" in page
    assert "heats/print/heats.pdf" in day.client.get(f"/meets/{day.begun}/heats").text


def test_certificates_for_three_places_and_the_fastest_run(day: RaceDay) -> None:
    pages = day.words(f"/meets/{day.over}/results/print/certificates.pdf")
    won = [("First place", 1), ("Second place", 2), ("Third place", 3), ("Fastest run", 1)]
    assert len(pages) == 4
    for page, (place, car) in zip(pages, won, strict=True):
        assert place in page
        assert f"Car {car}" in page
        assert "Meet of 4" in page
        assert "30 May 2026" in page


@pytest.mark.parametrize("file", ["heats/print/heats.pdf", "results/print/results.pdf"])
def test_paper_and_meet_must_be_known(day: RaceDay, file: str) -> None:
    assert day.client.get(f"/meets/{day.over}/{file}?paper=A3").status_code == 422
    assert day.client.get(f"/meets/99/{file}").status_code == 404
