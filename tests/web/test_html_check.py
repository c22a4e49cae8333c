"""The checker finds the faults it is there to find."""

from __future__ import annotations

import pytest

from tests.web.html_check import html_faults

PAGE = (
    '<!DOCTYPE html><html lang="en"><head><title>t</title></head>'
    "<body><main><h1>h</h1>{}</main></body></html>"
)


def test_a_good_page_has_no_faults() -> None:
    good = '<label for="a">A</label><input id="a" name="a"><a href="#a">to it</a>'
    assert html_faults(PAGE.format(good)) == []


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        ("<p>one<div>two</div></p>", "parse error"),
        ("<section><p>never closed", "parse error"),
        ('<p id="a"></p><p id="a"></p>', "id 'a'"),
        ('<input name="a">', "without a label"),
        ('<p style="color:red">a</p>', "inline style"),
        ("<script>alert(1)</script>", "inline script"),
        ('<p onclick="x()">a</p>', "script attribute"),
        ('<p hx-target="#gone">a</p>', "hx-target"),
        ('<a href="#gone">a</a>', "leads nowhere"),
        ('<label for="gone">a</label>', "leads nowhere"),
        ('<img src="/a.png">', "without alt"),
        ("<button></button>", "without words"),
        ('<a href="https://example.com">a</a>', "leads out"),
        ("<h1>second</h1>", "2 <h1>"),
    ],
)
def test_each_fault_is_found(body: str, fault: str) -> None:
    assert any(fault in found for found in html_faults(PAGE.format(body)))
