"""What a page documents is what its template uses, no more and no less."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import pytest
from jinja2 import meta

import hillbench.web.app  # noqa: F401 (defines every page)
from hillbench.web.page import Page
from hillbench.web.templating import FOLDER, environment

PAGES = sorted(Page.__subclasses__(), key=lambda page: page.__name__)


def names_used(template: str) -> set[str]:
    """Return what a template and all it is made of look up in the context."""
    used: set[str] = set()
    for name in _made_of(template, set()):
        tree = environment().parse((FOLDER / name).read_text(encoding="utf-8"))
        used |= meta.find_undeclared_variables(tree)
    return used - set(environment().globals)


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
    assert is_dataclass(page)
    documented = {field.name for field in fields(page)}
    assert names_used(page.template) - {"shell"} == documented


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.__name__)
def test_every_field_is_documented(page: type[Page]) -> None:
    assert is_dataclass(page)
    text = page.__doc__ or ""
    assert "Attributes\n" in text or not fields(page)
    for field in fields(page):
        assert field.name in text, f"{page.__name__}.{field.name} is not documented"


def test_pages_are_frozen() -> None:
    assert PAGES
    for page in PAGES:
        assert page.__dataclass_params__.frozen, page.__name__  # type: ignore[attr-defined]
