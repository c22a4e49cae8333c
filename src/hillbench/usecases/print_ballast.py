"""Print the template of a ballast plan."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from hillbench.usecases.keep_ballast_plan import KeptPlan

if TYPE_CHECKING:
    from hillbench.sheets.drawing import Drawing


def ballast_template_pdf(kept: KeptPlan, car_name: str, now: datetime, paper: str) -> bytes:
    """Return the template as PDF, true to scale.

    Raises
    ------
    InvalidInput
        If the paper is not known.
    """
    from hillbench.sheets.pdf_writer import write_pdf  # loads the library that writes PDF

    return write_pdf(_template(kept, car_name, now, paper))


def ballast_template_svg(kept: KeptPlan, car_name: str, now: datetime, paper: str) -> bytes:
    """Return the first page of the template as SVG, true to scale."""
    from hillbench.sheets.svg_writer import write_svg

    drawing = _template(kept, car_name, now, paper)
    return write_svg(drawing.pages[0], drawing.title).encode()


def _template(kept: KeptPlan, car_name: str, now: datetime, paper: str) -> Drawing:
    from hillbench.sheets.ballast_template import ballast_template
    from hillbench.sheets.page import find_page_size

    return ballast_template(
        kept.task,
        kept.plan,
        kept.steps(),
        f"{car_name}: {kept.record.name}",
        kept.sentence,
        f"Hillbench, {now:%Y-%m-%d}",
        find_page_size(paper),
    )
