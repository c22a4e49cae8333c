"""Lines for a cutting plotter as DXF, in mm."""

from __future__ import annotations

import io
from collections.abc import Iterator

from hillbench.decals.flatten import Point
from hillbench.sheets.decal_sheet import DecalSheets, LaidPiece

LAYER = "CUT"


def cut_dxf(content: DecalSheets, number: int) -> str:
    """Return the cut lines of one sheet as a DXF file.

    Parameters
    ----------
    content
        All sheets.
    number
        Which one, from 0.

    Notes
    -----
    AutoCAD R2000 (AC1015), $INSUNITS 4 (mm), one closed LWPOLYLINE for each piece; the origin is
    the lower left corner of the sheet and y runs upwards, as plotters expect.
    """
    from ezdxf import units
    from ezdxf.filemanagement import new

    document = new("R2000")
    document.units = units.MM
    document.layers.add(LAYER, color=6)
    space = document.modelspace()
    for piece in content.pieces:
        if piece.spot.sheet == number:
            points = list(cut_points(piece, content.size.height_mm))
            space.add_lwpolyline(points, close=True, dxfattribs={"layer": LAYER})
    text = io.StringIO()
    document.write(text)
    return text.getvalue()


def cut_points(piece: LaidPiece, sheet_height_mm: float) -> Iterator[Point]:
    """Yield the corners of a cut line on its sheet, y upwards, mm."""
    from shapely import affinity

    spot = piece.spot
    turned = affinity.rotate(piece.cut, spot.turn_deg, origin=(0.0, 0.0))
    moved = affinity.translate(turned, spot.x_mm, spot.y_mm)
    for x, y in moved.exterior.coords[:-1]:
        yield float(x), sheet_height_mm - float(y)
