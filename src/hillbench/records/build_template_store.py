"""Templates of builds."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.building.step import Step
from hillbench.records.build_entities import BuildTemplate
from hillbench.records.build_tables import BuildTemplateRow
from hillbench.records.removal import find_row, give_name, in_use
from hillbench.records.step_document import step_from_plain, step_to_plain


def add_template(
    session: Session, name: str, note: str, steps: Iterable[Step], now: datetime
) -> BuildTemplate:
    """Keep steps as a template; its name must be free."""
    row = BuildTemplateRow(created_at=now, steps=[step_to_plain(step) for step in steps])
    with session.no_autoflush:  # the row has no name yet
        give_name(session, row, name, note, now)
    session.add(row)
    session.flush()
    return _template(row)


def find_template(session: Session, template_id: int) -> BuildTemplate:
    """Return one template, removed or not; raise `NotFound` if there is none."""
    return _template(find_row(session, BuildTemplateRow, template_id))


def list_templates(session: Session, *, include_removed: bool = False) -> tuple[BuildTemplate, ...]:
    """Return the templates by name."""
    query = select(BuildTemplateRow).order_by(BuildTemplateRow.name_key, BuildTemplateRow.id)
    query = in_use(query, BuildTemplateRow, include_removed=include_removed)
    return tuple(_template(row) for row in session.scalars(query))


def _template(row: BuildTemplateRow) -> BuildTemplate:
    return BuildTemplate(
        id=row.id,
        name=row.name,
        note=row.note,
        steps=tuple(step_from_plain(plain) for plain in row.steps),
        created_at=row.created_at,
        changed_at=row.changed_at,
        removed_at=row.removed_at,
    )
