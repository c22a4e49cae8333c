"""What formats would tell, on its page."""

from __future__ import annotations

import re
import time
from datetime import timedelta
from pathlib import Path

import pytest

from hillbench.racing.field import Field
from hillbench.usecases.note_run import note_run
from hillbench.usecases.study_formats import compare_formats
from tests.usecases.bench import NOW, small_bench
from tests.web.conftest import CheckedClient

SMALL = "/meets/formats?cars=4&lanes=2"


def worked_out(client: CheckedClient, address: str) -> str:
    """Ask for a page until its study is done."""
    until = time.monotonic() + 60
    while True:
        text: str = client.get(address).text
        if 'id="fit-progress"' not in text:
            return text
        assert time.monotonic() < until
        time.sleep(0.05)


def test_page_says_what_the_library_says(client: CheckedClient) -> None:
    answer = compare_formats(Field(4, 2)).answer
    text = worked_out(client, SMALL)
    assert answer.sentence in text
    for one in answer.formats:
        assert one.name in text
    assert text.count("<tbody>") == 1
    assert len(re.findall(r'<th scope="row">', text)) == len(answer.formats)


def test_a_season_is_judged_as_one(client: CheckedClient) -> None:
    text = worked_out(client, f"{SMALL}&season_meets=6")
    assert "The fastest car wins a season of 6 meets" in text
    assert "A season is won by the least sum of places" in text


def test_a_track_tells_how_much_a_run_varies(tmp_path: Path) -> None:
    from hillbench.web.app import create_app

    with small_bench(tmp_path / "timed") as (timed, car_id, track_id):
        for number in range(24):
            time_s = 9.8 + 0.02 * (number % 5)
            note_run(timed, track_id, car_id, time_s, "clean", NOW + timedelta(minutes=number))
        client = CheckedClient(create_app(timed, clock=lambda: NOW))
        text = worked_out(client, f"{SMALL}&track_id={track_id}")
        told = re.search(r"A clean run on Long shed varies by ([\d.]+) s", text)
        assert told
        assert f'name="run_sd_s" type="text" value="{told[1]}"' in text
        typed = f"{SMALL}&track_id={track_id}&from_track_id={track_id}&run_sd_s=0.2"
        text = worked_out(client, typed)
        assert 'name="run_sd_s" type="text" value="0.2"' in text


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ("cars=x", "Cars is &#39;x&#39;"),
        ("cars=4.5", "Cars is 4.5; allowed is a whole number"),
        ("lanes=9", "Lanes is 9; allowed is 1 to 8"),
        ("season_meets=0", "Meets of the season is 0; allowed is 1 to 50"),
        ("run_sd_s=-1", "Spread of a car&#39;s clean runs is -1"),
        ("bad_percent=80", "Runs with a snag is 80 %; allowed is 0 to 50 %"),
    ],
)
def test_what_cannot_be_is_told_and_kept(client: CheckedClient, query: str, told: str) -> None:
    answer = client.get(f"/meets/formats?{query}")
    assert answer.status_code == 422
    assert told in answer.text
    name, _, value = query.partition("=")
    assert f'name="{name}" type="text" value="{value}"' in answer.text


@pytest.mark.parametrize("number", ["99", "x", "-1", "1" * 40])
def test_a_track_that_is_not_there_is_none(client: CheckedClient, number: str) -> None:
    assert client.get(f"{SMALL}&track_id={number}").status_code == 200
