"""A form of a page as a browser would send it."""

from __future__ import annotations

from urllib.parse import urlencode
from xml.etree.ElementTree import Element

import html5lib

Fields = list[tuple[str, str]]


def form_fields(html: str, action: str) -> Fields:
    """Return name and value of every field of the form that is sent to `action`."""
    root = html5lib.HTMLParser(namespaceHTMLElements=False).parse(html)
    form = next(form for form in root.iter("form") if form.get("action") == action)
    return [field for element in form.iter() for field in _fields(element)]


def forms_of(html: str) -> list[tuple[str, Fields]]:
    """Return where each form of a page that changes something is sent, and its fields."""
    root = html5lib.HTMLParser(namespaceHTMLElements=False).parse(html)
    return [
        (form.get("action") or "", [field for element in form.iter() for field in _fields(element)])
        for form in root.iter("form")
        if (form.get("method") or "").lower() == "post"
    ]


def encoded(fields: Fields) -> tuple[bytes, dict[str, str]]:
    """Return fields in order as the body of a POST, and its headers."""
    headers = {"content-type": "application/x-www-form-urlencoded"}
    return urlencode(fields).encode(), headers


def _fields(element: Element) -> Fields:
    name = element.get("name") or ""
    if element.tag == "textarea":
        return [(name, element.text or "")]
    if element.tag == "select":
        options = list(element.iter("option"))
        chosen = [option for option in options if option.get("selected") is not None]
        return [(name, (chosen or options)[0].get("value") or "")]
    if element.tag == "input":
        ticked = element.get("type") in ("checkbox", "radio")
        if not ticked or element.get("checked") is not None:
            return [(name, element.get("value") or "")]
    return []
