"""Remembered rules for reading times."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.records.outing_entities import ImportRule, RuleKind
from hillbench.records.removal import in_use
from hillbench.records.tables import ImportRuleRow


def keep_rule(
    session: Session, kind: RuleKind, name: str, rule: dict[str, Any], now: datetime
) -> ImportRule:
    """Remember a rule; one of the same kind and name is removed."""
    known = find_rule_named(session, kind, name)
    if known is not None:
        if known.rule == rule:
            return known
        session.get_one(ImportRuleRow, known.id).removed_at = now
    row = ImportRuleRow(kind=str(kind), name=name, rule=rule, created_at=now)
    session.add(row)
    session.flush()
    return _rule(row)


def find_rule_named(session: Session, kind: RuleKind, name: str) -> ImportRule | None:
    """Return the rule in use of a kind and name, None where there is none."""
    query = select(ImportRuleRow).where(
        ImportRuleRow.kind == str(kind),
        ImportRuleRow.name == name,
        ImportRuleRow.removed_at.is_(None),
    )
    row = session.scalars(query).first()
    return None if row is None else _rule(row)


def list_rules(
    session: Session, kind: RuleKind, *, include_removed: bool = False
) -> tuple[ImportRule, ...]:
    """Return the rules of a kind, latest first."""
    query = (
        select(ImportRuleRow)
        .where(ImportRuleRow.kind == str(kind))
        .order_by(ImportRuleRow.created_at.desc(), ImportRuleRow.id.desc())
    )
    query = in_use(query, ImportRuleRow, include_removed=include_removed)
    return tuple(_rule(row) for row in session.scalars(query))


def _rule(row: ImportRuleRow) -> ImportRule:
    return ImportRule(
        id=row.id,
        kind=RuleKind(row.kind),
        name=row.name,
        rule=row.rule,
        created_at=row.created_at,
        removed_at=row.removed_at,
    )
