"""Checks against the outside: asserted one by one, gathered into one page of the docs.

A test takes the fixture `outside` and calls `outside.check(...)`, which asserts and keeps the
result. At the end of the session the results are held against ``docs/outside-checks.md``; with
``python -m tests.outside.write_page`` they become that page.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

PAGE: Final = Path(__file__).parents[2] / "docs" / "outside-checks.md"

HOW: Final = {
    "exact": "exact by definition, or a theorem",
    "closed form": "a textbook formula, evaluated in the test by itself",
    "run": "computed or read with the named package",
    "read": "seen in the named publication or a page that reproduces it",
    "calculated": "formula or data recalled, evaluated and consistent with the named source",
    "memory": "recalled value of the named source",
}
"""How an expected value was confirmed."""

_HEADING: Final = "| check | expected | got | tolerance | unit | source | how |"


@dataclass(frozen=True, order=True)
class Check:
    """One comparison with something not written here."""

    area: str
    name: str
    source: str
    how: str
    expected: float
    got: float
    tolerance: float
    unit: str

    def row(self) -> str:
        """Return the check as one row of the page."""
        cells = (
            self.name,
            _digits(self.expected, self.tolerance),
            _digits(self.got, self.tolerance),
            f"{self.tolerance:.2g}",
            self.unit,
            self.source,
            self.how,
        )
        return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


class Outside:
    """Asserts checks and keeps them; one for each test."""

    def __init__(self, area: str, kept: list[dict[str, str | float]]) -> None:
        self._area = area
        self._kept = kept

    def check(
        self,
        name: str,
        *,
        source: str,
        how: str,
        expected: float,
        got: float,
        rel: float | None = None,
        within: float | None = None,
        unit: str = "",
    ) -> None:
        """Assert that `got` meets `expected` and keep both.

        Give either `rel`, a part of the expected value, or `within`, in the unit. A closed
        bound such as "no more than 0.01 apart" is a check of a difference that expects 0.
        """
        if (rel is None) == (within is None):
            raise ValueError("give either rel or within")
        if how not in HOW:
            raise ValueError(f"how is {how!r}; allowed is one of {', '.join(HOW)}")
        tolerance = abs(expected) * rel if rel is not None else float(within or 0.0)
        if not math.isfinite(expected) or not tolerance >= 0.0:
            raise ValueError("the expected value and its tolerance must be finite")
        assert abs(got - expected) <= tolerance, (
            f"{name}: got {got!r}, expected {expected!r} ± {tolerance:.3g} {unit} ({source})"
        )
        kept = Check(self._area, name, source, how, expected, float(got), tolerance, unit)
        self._kept.append(asdict(kept))


def page(checks: list[Check]) -> str:
    """Return the page of all checks, one table an area, in a fixed order."""
    lines = [
        "# Checks against the outside",
        "",
        "Each row compares a number computed by Hillbench with a standard, a handbook, a worked",
        "example, a closed form or another package. The tests fail when one is not met, or when",
        "this page does not list the same checks. Written by `python -m tests.outside.write_page`;",
        "the tolerance is in the unit of the row.",
        "",
        *(f"- *{how}*: {meaning}" for how, meaning in HOW.items()),
    ]
    for area in sorted({check.area for check in checks}):
        lines += [
            "",
            f"## {area}",
            "",
            "| check | expected | got | tolerance | unit | source | how |",
        ]
        lines += ["|---|---|---|---|---|---|---|"]
        lines += [check.row() for check in sorted(checks) if check.area == area]
    lines += ["", f"{len(checks)} checks."]
    return "\n".join(lines) + "\n"


def differences(checks: list[Check], written: str, complete: bool) -> list[str]:
    """Return what the written page lacks and, after a complete run, what it has too much."""
    have = {_row_key(line) for line in written.splitlines() if line.startswith("| ")}
    made = {_row_key(check.row()): check for check in checks}
    found = [
        f"not in {PAGE.name}: {check.area}: {check.name}"
        for key, check in sorted(made.items())
        if key not in have
    ]
    if complete:
        extra = have - set(made) - {_row_key(_HEADING)}
        found += [f"in {PAGE.name} but not checked: {key[0]}" for key in sorted(extra)]
    return found


def repeated_names(checks: list[Check]) -> list[str]:
    """Return the name of each check that stands twice in its area."""
    seen: set[tuple[str, str]] = set()
    twice = []
    for check in checks:
        if (check.area, check.name) in seen:
            twice.append(f"{check.area}: {check.name} stands twice")
        seen.add((check.area, check.name))
    return twice


def _row_key(row: str) -> tuple[str, ...]:
    """Return what identifies a row of the page: name, unit, source and how."""
    cells = tuple(cell.strip() for cell in row.replace("\\|", "¦").strip("| ").split(" | "))
    return cells[:1] + cells[4:]


def _digits(value: float, tolerance: float) -> str:
    """Return the value with the digits that its tolerance can tell apart."""
    if tolerance == 0.0 or value == 0.0:
        return f"{value:.15g}"
    wanted = math.ceil(math.log10(abs(value) / tolerance)) + 1 if abs(value) > tolerance else 1
    return f"{value:.{min(15, max(2, wanted))}g}"
