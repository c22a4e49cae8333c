"""The numbers a prediction stands on, as they are shown with where they come from."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.usecases.describe_car import CarDescription, Source
from hillbench.web.quantities import QUANTITIES
from hillbench.web.showing import Showing, Shown


@dataclass(frozen=True, slots=True)
class Input:
    """One number that a prediction stands on.

    Attributes
    ----------
    label
        What it is called.
    value
        In the preferred unit and the other.
    source
        ``measured`` or ``assumed``.
    """

    label: str
    value: Shown
    source: str


def inputs_of(description: CarDescription, showing: Showing) -> tuple[Input, ...]:
    """Return every number of a car, assumed ones first: they are the ones to measure."""
    rows = [Input("Mass", showing.mass(description.car.mass_g), description.sources["mass_g"])]
    rows += [
        Input(
            quantity.label,
            quantity.shown(_value(description, quantity.name), showing),
            description.sources[quantity.name],
        )
        for quantity in QUANTITIES
    ]
    return tuple(sorted(rows, key=lambda row: row.source != Source.ASSUMED))


def _value(description: CarDescription, name: str) -> float:
    """Return a number of the car or of the losses that go with it."""
    holder = description.car if hasattr(description.car, name) else description
    return float(getattr(holder, name))
