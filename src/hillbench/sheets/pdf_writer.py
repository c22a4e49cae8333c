"""Writes a drawing as PDF in true size: fonts embedded, layers, spot colours, sRGB."""

from __future__ import annotations

import threading
from io import BytesIO
from typing import TYPE_CHECKING, Final

from hillbench.sheets import font
from hillbench.sheets.colour import Colour, Spot, shown
from hillbench.sheets.drawing import (
    PRINT,
    Drawing,
    Group,
    Layer,
    Mark,
    Page,
    Photo,
    Shape,
    Stroke,
    Words,
)
from hillbench.sheets.page import POINTS_PER_MM
from hillbench.sheets.path import Close, Curve, Line, Move, Path
from hillbench.sheets.pdf_finish import LayerName, finish

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_CAPS: Final = {"butt": 0, "round": 1, "square": 2}
_JOINS: Final = {"miter": 0, "round": 1, "bevel": 2}
_FILL_MODES: Final = {"evenodd": 0, "nonzero": 1}
_WRITING: Final = threading.Lock()
"""The PDF library keeps its fonts for all documents together, so one is written at a time."""


def write_pdf(drawing: Drawing) -> bytes:
    """Return a drawing as a PDF file; the same drawing gives the same bytes.

    Notes
    -----
    After ISO 32000-1:2008: each layer of a page is a form XObject that belongs to an optional
    content group (8.11), a spot colour is a Separation space (8.6.6.4), colours are bound to an
    embedded sRGB profile by an output intent (14.11.5) and as the default RGB space (8.6.5.6).
    Viewers are asked not to scale the print (12.2, PrintScaling).
    """
    with _WRITING:
        return finish(
            _drawn(drawing),
            [[LayerName(one.name, one.printed) for one in page.layers] for page in drawing.pages],
            drawing.language,
        )


def _drawn(drawing: Drawing) -> bytes:
    """Return the document with a page for each layer."""
    from reportlab.pdfgen.canvas import Canvas

    raw = BytesIO()
    canvas = Canvas(raw, invariant=1, pageCompression=1, initialFontName=_register("regular"))
    canvas.setTitle(drawing.title)
    canvas.setCreator("Hillbench")
    canvas.setProducer("Hillbench")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    for page in drawing.pages:
        for layer in page.layers or (Layer(PRINT, ()),):
            _draw_layer(canvas, page, layer)
    canvas.save()
    return raw.getvalue()


def _draw_layer(canvas: Canvas, page: Page, layer: Layer) -> None:
    """Draw a layer as a page of its own, which is put into its place afterwards.

    The PDF library writes forms without their spot colours and opacities, but pages with them.
    """
    height = page.size.height_mm * POINTS_PER_MM
    canvas.setPageSize((page.size.width_mm * POINTS_PER_MM, height))
    canvas.transform(POINTS_PER_MM, 0, 0, -POINTS_PER_MM, 0, height)
    for mark in layer.marks:
        _draw(canvas, mark)
    canvas.showPage()


def _draw(canvas: Canvas, mark: Mark) -> None:
    match mark:
        case Shape():
            _draw_shape(canvas, mark)
        case Words():
            _draw_words(canvas, mark)
        case Photo():
            _draw_photo(canvas, mark)
        case Group():
            _draw_group(canvas, mark)


def _draw_group(canvas: Canvas, group: Group) -> None:
    t = group.transform
    canvas.saveState()
    canvas.transform(t.a, t.b, t.c, t.d, t.e, t.f)
    if group.clip is not None:
        clip = _canvas_path(canvas, group.clip)
        canvas.clipPath(clip, stroke=0, fill=0, fillMode=_FILL_MODES[group.rule])
    for mark in group.marks:
        _draw(canvas, mark)
    canvas.restoreState()


def _draw_shape(canvas: Canvas, shape: Shape) -> None:
    if not shape.path or (shape.fill is None and shape.stroke is None):
        return
    canvas.saveState()
    if shape.fill is not None:
        canvas.setFillColor(_reportlab_colour(shape.fill))
        canvas.setFillAlpha(shape.opacity)
    if shape.stroke is not None:
        _set_stroke(canvas, shape.stroke)
    canvas.drawPath(
        _canvas_path(canvas, shape.path),
        stroke=int(shape.stroke is not None),
        fill=int(shape.fill is not None),
        fillMode=_FILL_MODES[shape.rule],
    )
    canvas.restoreState()


def _set_stroke(canvas: Canvas, stroke: Stroke) -> None:
    canvas.setStrokeColor(_reportlab_colour(stroke.colour))
    canvas.setLineWidth(stroke.width_mm)
    canvas.setLineCap(_CAPS[stroke.cap])
    canvas.setLineJoin(_JOINS[stroke.join])
    if stroke.dash_mm:
        canvas.setDash(list(stroke.dash_mm))


def _canvas_path(canvas: Canvas, path: Path) -> object:
    drawn = canvas.beginPath()
    for segment in path:
        match segment:
            case Move(to):
                drawn.moveTo(*to)
            case Line(to):
                drawn.lineTo(*to)
            case Curve(first, second, to):
                drawn.curveTo(*first, *second, *to)
            case Close():
                drawn.close()
    return drawn


def _draw_words(canvas: Canvas, words: Words) -> None:
    text = font.shown_text(words.text, words.font)
    if not text:
        return
    width = font.width_mm(text, words.size_mm, words.font)
    start = words.x_mm - {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor] * width
    canvas.saveState()
    # Letters stand upright although y runs downwards.
    canvas.transform(1, 0, 0, -1, start, words.y_mm)
    canvas.setFillColor(_reportlab_colour(words.colour))
    canvas.setFont(_register(words.font), words.size_mm)
    canvas.drawString(0, 0, text)
    canvas.restoreState()


def _draw_photo(canvas: Canvas, photo: Photo) -> None:
    from reportlab.lib.utils import ImageReader

    canvas.saveState()
    canvas.transform(1, 0, 0, -1, photo.x_mm, photo.y_mm + photo.height_mm)
    reader = ImageReader(BytesIO(photo.data))
    canvas.drawImage(reader, 0, 0, photo.width_mm, photo.height_mm, mask="auto")
    canvas.restoreState()


def _reportlab_colour(colour: Colour) -> object:
    from reportlab.lib.colors import CMYKColorSep, Color, rgb2cmyk

    seen = shown(colour)
    if isinstance(colour, Spot):
        ink = rgb2cmyk(seen.red, seen.green, seen.blue)
        return CMYKColorSep(*ink, spotName=colour.name)
    return Color(seen.red, seen.green, seen.blue)


def _register(name: str) -> str:
    """Return the name under which the PDF library knows a font, made known at first use."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    known = f"HillbenchSheet-{name}"
    if known not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(known, BytesIO(font.find_face(name).data)))
    return known
