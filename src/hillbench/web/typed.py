"""Forms as typed: read with every problem collected, shown again with nothing lost."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from hillbench import units
from hillbench.errors import InvalidInput, Problem
from hillbench.web.preferences import Preferences

_INDEX: Final = re.compile(r"\[\d+\]")


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """A problem as it is shown beside a field.

    Attributes
    ----------
    field
        Name of the field; empty when it is about the form as a whole.
    sentence
        What is wrong and what to do.
    """

    field: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Typed:
    """A form with what was typed into it and what is wrong with that.

    Attributes
    ----------
    form
        Name of the form; ids of its fields begin with it, so that forms can share a page.
    pairs
        Name and text of each field, in order; a name may occur several times.
    problems
        What is wrong; empty before anything was sent.
    """

    form: str
    pairs: tuple[tuple[str, str], ...] = ()
    problems: tuple[FieldProblem, ...] = ()

    @classmethod
    def holding(cls, form: str, values: Mapping[str, str]) -> Typed:
        """Return a form that shows `values`, as when something is edited."""
        return cls(form, tuple(values.items()))

    def value(self, name: str) -> str:
        """Return the text of a field, the last where there are several, else nothing."""
        return next((text for known, text in reversed(self.pairs) if known == name), "")

    def values(self, name: str) -> tuple[str, ...]:
        """Return the texts of all fields with that name, in order."""
        return tuple(text for known, text in self.pairs if known == name)

    def problem(self, name: str) -> str:
        """Return what is wrong with a field, nothing where it is fine."""
        return " ".join(problem.sentence for problem in self.problems if problem.field == name)


class Answers:
    """Reads the fields of a form one by one and collects what is wrong with them.

    Parameters
    ----------
    form
        Name of the form.
    pairs
        Name and text of each field.
    preferences
        Units of bare numbers.
    labels
        What each field is called on screen.
    """

    def __init__(
        self,
        form: str,
        pairs: Sequence[tuple[str, str]],
        preferences: Preferences,
        labels: Mapping[str, str],
    ) -> None:
        self.as_typed = Typed(form, tuple(pairs))
        self.problems: list[Problem] = []
        self._preferences = preferences
        self._labels = labels

    @property
    def preferences(self) -> Preferences:
        """Units of bare numbers."""
        return self._preferences

    def text(self, name: str) -> str:
        """Return a field as typed; nothing where it is missing."""
        return self.as_typed.value(name)

    def choice(self, name: str, allowed: Collection[str]) -> str:
        """Return a field that must be one of `allowed`; else the first, with a problem."""
        value = self.text(name)
        if value in allowed:
            return value
        self.problems.append(Problem(name, repr(value), "one of: " + ", ".join(allowed)))
        return next(iter(allowed))

    def quantity(
        self, name: str, dimension: units.Dimension, *, unit: str = "", required: bool = True
    ) -> float | None:
        """Return a quantity in the base unit; None where nothing or nonsense was typed.

        Parameters
        ----------
        name
            Name of the field.
        dimension
            Kind of quantity.
        unit
            Unit of a bare number; the preferred one of that kind by default.
        required
            Whether leaving it empty is a problem.
        """
        text = self.text(name).strip()
        default = unit or default_unit(dimension, self._preferences)
        if not text:
            if required:
                example = f"a {dimension.name} such as 12.5 {default}".rstrip()
                self.problems.append(Problem(name, "empty", example, "type a number"))
            return None
        return self.parse(name, text, dimension, default)

    def parse(self, name: str, text: str, dimension: units.Dimension, unit: str) -> float | None:
        """Return one quantity out of a field's text; None, with a problem, for nonsense."""
        try:
            return units.parse_quantity(text, dimension, unit, name)
        except InvalidInput as wrong:
            self.problems.extend(wrong.problems)
            return None

    def require(self) -> None:
        """Raise `InvalidInput` with every problem found so far, if there is any."""
        if self.problems:
            raise InvalidInput(self.problems)

    def refused(self, wrong: InvalidInput) -> Typed:
        """Return the form as typed with the problems of `wrong` beside its fields."""
        shown = tuple(self._beside_field(problem) for problem in wrong.problems)
        return replace(self.as_typed, problems=shown)

    def _beside_field(self, problem: Problem) -> FieldProblem:
        name = _INDEX.sub("", problem.where).rsplit(".", maxsplit=1)[-1]
        label = self._labels.get(name)
        if label is None:
            return FieldProblem("", problem.sentence())
        return FieldProblem(name, replace(problem, where=label).sentence())


def default_unit(dimension: units.Dimension, preferences: Preferences) -> str:
    """Return the unit a bare number of that kind is read in."""
    preferred = {
        units.MASS.name: preferences.mass_unit,
        units.LENGTH.name: preferences.length_unit,
        units.DISTANCE.name: preferences.distance_unit,
    }
    return preferred.get(dimension.name) or next(
        name for name, factor in dimension.factors.items() if factor == 1.0
    )
