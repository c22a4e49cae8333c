"""What every page must be: of use to anyone, on any screen, in any light."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.conftest import NARROW, WIDE, Watched, open_context

_RULES: Final = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    "resultTypes": ["violations"],
}
SCREENS: Final = ((WIDE, False), (NARROW, True))
"""Size, and whether dark: each size and each light once, since colours do not go by size."""


def require_for_anyone(
    browser: Browser, address: str, prepare: Callable[[Page], object] = lambda _page: None
) -> None:
    """Fail where a page is too wide, not for everyone, or something on it complains.

    Parameters
    ----------
    browser
        The browser.
    address
        The page, without a host of its own.
    prepare
        What is done on the page before it is looked at, such as opening what is folded.
    """
    with open_context(browser, WIDE) as context:
        watched = Watched(context.new_page())
        watched.page.goto(address)
        prepare(watched.page)
        for size, dark in SCREENS:
            watched.page.set_viewport_size({"width": size[0], "height": size[1]})
            watched.page.emulate_media(color_scheme="dark" if dark else "light")
            require_usable(watched.page, size[0])
        assert watched.complaints == []


def require_usable(page: Page, width_px: int) -> None:
    """Fail where a page as it stands is wider than the screen or breaks a rule of WCAG."""
    assert page.evaluate("document.documentElement.scrollWidth") <= width_px
    known = page.evaluate("typeof window.axe === 'object'")
    found = (Axe("") if known else Axe()).run(page, options=_RULES)
    assert found.violations_count == 0, found.generate_report()


def open_all_details(page: Page) -> None:
    """Open everything on a page that is folded away."""
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
