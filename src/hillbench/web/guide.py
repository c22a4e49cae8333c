"""The user's guide inside the app."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from hillbench.errors import NotFound
from hillbench.help import PAGES, HelpPage, read_help
from hillbench.web.answer import show
from hillbench.web.page import Page

router = APIRouter()


@dataclass(frozen=True)
class GuidePage(Page):
    """One page of the guide.

    Attributes
    ----------
    guide
        The page.
    body
        Its text as HTML.
    contents
        All pages of the guide, in order.
    """

    template: ClassVar[str] = "guide.html"

    guide: HelpPage
    body: Markup
    contents: tuple[HelpPage, ...]


@router.get("/guide/{name}")
def show_guide(request: Request, name: str) -> Response:
    """Show one page of the guide."""
    if name not in PAGES:
        raise NotFound("page of the guide", name)
    return show(request, _guide_page(name))


@cache
def _guide_page(name: str) -> GuidePage:
    page = read_help(name)
    # Only our own packaged text is rendered, and HTML in it is escaped all the same.
    body = Markup(_html(page.body))  # noqa: S704  (as said above)
    return GuidePage(page, body, tuple(read_help(known) for known in PAGES))


def _html(markdown: str) -> str:
    """Return Markdown as HTML; a link to another file of the guide leads to its page."""
    from markdown_it import MarkdownIt  # not needed by any other page

    parser = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = parser.parse(markdown)
    for token in (child for block in tokens for child in block.children or ()):
        target = str(token.attrs.get("href", ""))
        if target.endswith(".md"):
            token.attrs["href"] = f"/guide/{target.removesuffix('.md')}"
    return str(parser.renderer.render(tokens, parser.options, {}))
