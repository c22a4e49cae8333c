"""Read marks back from a picture."""

from __future__ import annotations

from xml.etree import ElementTree as ET

SVG = "{http://www.w3.org/2000/svg}"


def read(picture: str) -> ET.Element:
    """Return the picture as an XML tree; fails where it is not well formed."""
    return ET.fromstring(picture)


def marks(root: ET.Element, mark: str) -> list[ET.Element]:
    """Return the marks of one kind."""
    return [element for element in root.iter() if element.get("data-mark") == mark]


def corners(element: ET.Element) -> list[tuple[float, float]]:
    """Return the corners of a polyline or polygon."""
    numbers = [float(text) for text in element.attrib["points"].replace(",", " ").split()]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def texts(root: ET.Element) -> list[str]:
    """Return all words in the picture."""
    return [element.text or "" for element in root.iter(f"{SVG}text")]
