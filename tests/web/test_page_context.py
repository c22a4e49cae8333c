"""What a page documents is what its template uses, no more and no less."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from typing import Any

import pytest
from jinja2 import meta, nodes

import hillbench.web.app  # noqa: F401 (defines every page)
from hillbench.web.page import Page
from hillbench.web.templating import FOLDER, environment

# A dataclass with slots is made twice; the later one counts.
PAGES = sorted(
    {page.__qualname__: page for page in Page.__subclasses__()}.values(),
    key=lambda page: page.__name__,
)


def field_names(page: Any) -> list[str]:
    return [field.name for field in fields(page)]


def names_used(template: str) -> set[str]:
    """Return what a template and all it is made of look up in the context."""
    used: set[str] = set()
    for name in _made_of(template, set()):
        tree = environment().parse((FOLDER / name).read_text(encoding="utf-8"))
        used |= meta.find_undeclared_variables(tree) - set(_imported(tree))
    return used - set(environment().globals)


def _imported(tree: nodes.Template) -> Iterator[str]:
    yield from (node.target for node in tree.find_all(nodes.Import))
    for node in tree.find_all(nodes.FromImport):
        yield from (name if isinstance(name, str) else name[1] for name in node.names)


def _made_of(template: str, seen: set[str]) -> Iterator[str]:
    if template in seen:
        return
    seen.add(template)
    yield template
    tree = environment().parse((FOLDER / template).read_text(encoding="utf-8"))
    for name in meta.find_referenced_templates(tree):
        assert name is not None, f"{template} includes a template chosen while it runs"
        yield from _made_of(name, seen)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.__name__)
def test_the_context_is_what_the_template_uses(page: type[Page]) -> None:
    documented = set(field_names(page))
    assert names_used(page.template) - {"shell"} == documented


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.__name__)
def test_every_field_is_documented(page: type[Page]) -> None:
    text = page.__doc__ or ""
    assert "Attributes\n" in text or not field_names(page)
    for name in field_names(page):
        assert name in text, f"{page.__name__}.{name} is not documented"


def test_pages_are_frozen() -> None:
    assert PAGES
    for page in PAGES:
        assert page.__dataclass_params__.frozen, page.__name__  # type: ignore[attr-defined]
