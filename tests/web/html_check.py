"""What every piece of HTML the app sends must satisfy."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from xml.etree.ElementTree import Element

import html5lib

_UNLABELLED_TYPES = {"hidden", "submit", "button"}
_REFERENCES = ("for", "aria-describedby", "aria-labelledby", "aria-controls", "list")


def html_faults(html: str, *, fragment: bool = False) -> list[str]:
    """Return everything wrong with a page or a fragment; empty when it is good.

    A fragment may refer to what is elsewhere on its page, so its references are not followed.
    """
    parser = html5lib.HTMLParser(namespaceHTMLElements=False)
    root = parser.parseFragment(html) if fragment else parser.parse(html)
    faults = [f"parse error {code} at {place}" for place, code, _ in parser.errors]
    elements = [element for element in root.iter() if isinstance(element.tag, str)]
    faults += _id_faults(elements)
    faults += _inline_faults(elements)
    faults += _name_faults(elements)
    if not fragment:
        faults += _reference_faults(elements)
        faults += _frame_faults(elements)
    return faults


def _id_faults(elements: list[Element]) -> Iterator[str]:
    counts = Counter(element.get("id") for element in elements if element.get("id") is not None)
    for name, count in counts.items():
        if count > 1 or not name:
            yield f"id {name!r} occurs {count} times"


def _inline_faults(elements: list[Element]) -> Iterator[str]:
    for element in elements:
        if element.tag == "style" or element.get("style") is not None:
            yield f"inline style on <{element.tag}>"
        if element.tag == "script" and (element.get("src") is None or element.text):
            yield "inline script"
        for name in element.keys():  # noqa: SIM118 (an Element iterates over its children)
            if name.startswith(("on", "hx-on")):
                yield f"script attribute {name} on <{element.tag}>"
        for name in ("href", "src", "action"):
            value = element.get(name) or ""
            if value.startswith(("http:", "https:", "//", "javascript:", "data:")):
                yield f"<{element.tag}> leads out of the app: {value}"


def _name_faults(elements: list[Element]) -> Iterator[str]:
    labelled = {element.get("for") for element in elements if element.tag == "label"}
    wrapped = {child for element in elements if element.tag == "label" for child in element.iter()}
    for element in elements:
        if element.tag == "img" and element.get("alt") is None:
            yield f"<img> without alt: {element.get('src')}"
        if element.tag in ("button", "a", "summary") and not _has_name(element):
            yield f"<{element.tag}> without words"
        if element.tag not in ("input", "select", "textarea"):
            continue
        if element.get("type") in _UNLABELLED_TYPES:
            continue
        named = element.get("aria-label") or element.get("aria-labelledby")
        if not named and element not in wrapped and element.get("id") not in labelled:
            yield f"<{element.tag} name={element.get('name')!r}> without a label"


def _has_name(element: Element) -> bool:
    if "".join(element.itertext()).strip() or element.get("aria-label"):
        return True
    return any(child.get("alt") for child in element.iter("img"))


def _reference_faults(elements: list[Element]) -> Iterator[str]:
    ids = {element.get("id") for element in elements}
    for element in elements:
        for attribute in _REFERENCES:
            for name in (element.get(attribute) or "").split():
                if name not in ids:
                    yield f"{attribute}={name!r} of <{element.tag}> leads nowhere"
        href = element.get("href") or ""
        if href.startswith("#") and href[1:] not in ids:
            yield f"link to {href!r} leads nowhere"
        target = element.get("hx-target")
        if target is not None and not (target == "this" or _found(target, ids)):
            yield f"hx-target {target!r} leads nowhere"


def _found(target: str, ids: set[str | None]) -> bool:
    return target.startswith("#") and target[1:] in ids


def _frame_faults(elements: list[Element]) -> Iterator[str]:
    tags = Counter(element.tag for element in elements)
    for tag in ("h1", "main", "title"):
        if tags[tag] != 1:
            yield f"{tags[tag]} <{tag}> elements"
