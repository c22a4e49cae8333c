"""Write planned decals as files: the sheet as PDF or SVG, the cut lines as DXF or SVG."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.sheets.decal_sheet import cut_page, decal_drawing
from hillbench.usecases.plan_decals import DecalPlan, sheets_of

_SHEET_ENDINGS: Final = (".pdf", ".svg")
_CUT_ENDINGS: Final = (".dxf", ".svg")


def check_endings(out: Path | None, cut: Path | None) -> None:
    """Raise `InvalidInput` for a file whose ending says no kind that is written.

    Parameters
    ----------
    out
        Of the sheet; None for none.
    cut
        Of the cut lines; None for none.
    """
    for option, path, known in (("--out", out, _SHEET_ENDINGS), ("--cut", cut, _CUT_ENDINGS)):
        if path is not None and path.suffix.lower() not in known:
            allowed = "a name that ends in " + " or ".join(known)
            raise InvalidInput([Problem(option, str(path), allowed)])


def print_files(plan: DecalPlan, out: Path | None, cut: Path | None) -> tuple[Path, ...]:
    """Write the files asked for and return their names.

    Parameters
    ----------
    plan
        The planned sheets.
    out
        The sheet, all pages in one PDF, or one SVG for each page.
    cut
        The cut lines, one file for each sheet.
    """
    files: list[tuple[Path, bytes]] = []
    if out is not None:
        files += _sheet_files(plan, out)
    if cut is not None:
        files += _cut_files(plan, cut)
    for path, content in files:
        _write(path, content)
    return tuple(path for path, _ in files)


def _write(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    beside = path.with_name(path.name + ".part")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def sheet_pdf(plan: DecalPlan) -> bytes:
    """Return all pages as one PDF in true size."""
    from hillbench.sheets.pdf_writer import write_pdf

    return write_pdf(decal_drawing(sheets_of(plan)))


def sheet_svgs(plan: DecalPlan) -> tuple[str, ...]:
    """Return each page as an SVG in true size."""
    from hillbench.sheets.svg_writer import write_svg

    drawing = decal_drawing(sheets_of(plan))
    return tuple(write_svg(page, drawing.title) for page in drawing.pages)


def print_svg(plan: DecalPlan, number: int) -> str:
    """Return the print of one sheet as SVG in true size.

    Parameters
    ----------
    plan
        The planned sheets.
    number
        Which sheet, from 0.
    """
    from hillbench.sheets.svg_writer import write_svg

    content = sheets_of(plan)
    pages = decal_drawing(content).pages
    return write_svg(pages[number * (len(pages) // content.sheets)], content.title)


def cut_svg(plan: DecalPlan, number: int) -> str:
    """Return the cut lines of one sheet as SVG.

    Parameters
    ----------
    plan
        The planned sheets.
    number
        Which sheet, from 0.
    """
    from hillbench.sheets.svg_writer import write_svg

    return write_svg(cut_page(sheets_of(plan), number), f"{plan.question.title}, cut lines")


def cut_dxf_of(plan: DecalPlan, number: int) -> str:
    """Return the cut lines of one sheet as DXF.

    Parameters
    ----------
    plan
        The planned sheets.
    number
        Which sheet, from 0.
    """
    from hillbench.sheets.decal_cut import cut_dxf

    return cut_dxf(sheets_of(plan), number)


def _sheet_files(plan: DecalPlan, out: Path) -> Iterator[tuple[Path, bytes]]:
    if out.suffix.lower() == ".pdf":
        yield out, sheet_pdf(plan)
        return
    pages = sheet_svgs(plan)
    for number, text in enumerate(pages, start=1):
        yield _numbered(out, number, len(pages)), text.encode()


def _cut_files(plan: DecalPlan, cut: Path) -> Iterator[tuple[Path, bytes]]:
    write = cut_dxf_of if cut.suffix.lower() == ".dxf" else cut_svg
    for number in range(plan.nesting.sheets):
        yield _numbered(cut, number + 1, plan.nesting.sheets), write(plan, number).encode()


def _numbered(path: Path, number: int, of: int) -> Path:
    return path if of == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}")
