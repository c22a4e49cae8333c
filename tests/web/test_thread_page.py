from __future__ import annotations

from urllib.parse import urlencode

import pytest

from hillbench.usecases.choose_thread import choose_thread
from hillbench.usecases.thread_question import ThreadQuestion
from hillbench.web.preferences import COOKIE, Preferences
from tests.web.conftest import CheckedClient


def asked(client: CheckedClient, **fields: str) -> tuple[int, str]:
    answer = client.get("/bench/thread?" + urlencode({"designation": "2-56", **fields}))
    return answer.status_code, answer.text


def test_an_example_stands_there_before_anything_is_asked(client: CheckedClient) -> None:
    answer = client.get("/bench/thread")
    assert answer.status_code == 200
    assert "an example" in answer.text
    assert "2-56 in a #50 hole, tapped, has 69 % of a full thread" in answer.text
    assert answer.text.count("<svg") >= 3


def test_page_and_use_case_say_the_same(client: CheckedClient) -> None:
    status, text = asked(client, drill="5/64", engagement_mm="4")
    answer = choose_thread(ThreadQuestion("2-56", "5/64", engagement_mm="4"))
    assert status == 200
    assert answer.comparison in text
    assert f"post at {answer.strip_force_n.post:.0f} N" in text
    assert f"{answer.safe_torque_n_mm:.0f}<span" in text
    for option in answer.options:
        assert f"{option.designation} in {option.drill}, {option.method}" in text


def test_every_option_is_shown(client: CheckedClient) -> None:
    lengths = {"screw_length_mm": "6", "base_thickness_mm": "1", "post_height_mm": "10"}
    more = {"post_diameter_mm": "4", "gap_mm": "0.2", "base_span_mm": "40"}
    rivet = {"rivet_head_diameter_mm": "3.1", "rivet_head_height_mm": "0.8"}
    status, text = asked(client, drill="#50", **lengths, **more, **rivet)
    assert status == 200
    for word in ("Wall round the thread", "Base bows", "pilot 1.2 mm, then 3.1 mm", "reaches"):
        assert word in text
    assert text.count('<details class="opens" open>') == 2


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"designation": "2-57"}, "did you mean 2-56"),
        ({"base_thickness_mm": "5/64"}, "did you mean 5/64 in, which is 1.984 mm?"),
        ({"drill": "5/64 mm"}, "did you mean 5/64 in"),
        ({"drill": "50"}, "did you mean #50"),
        ({"drill": "1/8"}, "less than the smallest 2-56 screw"),
        ({"post_diameter_mm": "2"}, "more than the hole and its thread"),
        ({"base_thickness_mm": "0"}, "more than 0"),
        ({"screw_length_mm": "20"}, "at most base and post together"),
        ({"rivet_head_height_mm": "1"}, "Diameter of the rivet’s head is missing"),
        ({"percent": "lots"}, "Percent of a full thread wanted is"),
        ({"method": "glued"}, "one of tapped, formed"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_typed_is_lost(
    client: CheckedClient, fields: dict[str, str], said: str
) -> None:
    lengths = {"screw_length_mm": "6", "base_thickness_mm": "1", "post_height_mm": "10"}
    status, text = asked(client, **{**lengths, **fields})
    assert status == 422
    assert said in text.replace("&#39;", "'")
    for value in set(fields.values()) - {"glued"}:
        assert f'value="{value}"' in text


def test_readers_of_inches_type_inches(client: CheckedClient) -> None:
    client.cookies.set(COOKIE, Preferences(length_unit="in").to_cookie())
    lengths = {"screw_length_mm": "1/4", "base_thickness_mm": ".047", "post_height_mm": "0.36"}
    status, text = asked(client, drill="#50", **lengths)
    assert status == 200
    assert "0.203" in text  # 1/4 in less .047 in is what the screw reaches
