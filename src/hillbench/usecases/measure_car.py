"""Keep readings of a car's quantities."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime

from hillbench.errors import InvalidInput, Problem
from hillbench.records import car_store, reading_store, weighing_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Reading
from hillbench.records.names import clean_note
from hillbench.records.quantities import check_range, check_reading


def measure_car(
    book: BenchBook,
    car_id: int,
    values: Mapping[str, float],
    now: datetime,
    *,
    resolutions: Mapping[str, float] | None = None,
    at: datetime | None = None,
    note: str = "",
) -> tuple[Reading, ...]:
    """Keep one reading of each quantity given; the latest reading of a quantity counts.

    Parameters
    ----------
    values
        By quantity, in its unit; the names are those of `hillbench.records.quantities`.
    resolutions
        Smallest step of the instrument, same unit, for the quantities where it is known.
    at
        When it was read; `now` where None.

    Raises
    ------
    InvalidInput
        If a value is out of range, or does not go with what is known of the car already.
        The place is the name of the quantity, and nothing is kept.
    NotFound
        If there is no such car.
    """
    note = clean_note(note)
    steps = resolutions or {}
    problems = [problem for name in values for problem in check_reading(name, values[name])]
    for name, step in steps.items():
        problems += check_range(f"{name}.resolution", step, (0.0, 100.0, ""))
    if problems:
        raise InvalidInput(problems)
    with book.write() as session:
        car_store.touch_car(session, car_id, now)
        known = {
            name: reading.value
            for name, reading in reading_store.current_readings(session, car_id).items()
        }
        weighing = weighing_store.latest_weighing(session, car_id)
        if weighing is not None:
            known["mass_g"] = weighing.estimate().value
        misfits = tuple(_misfits(values, {**known, **values}))
        if misfits:
            raise InvalidInput(misfits)
        return tuple(
            reading_store.add_reading(
                session, car_id, name, float(value), steps.get(name), at or now, note
            )
            for name, value in values.items()
        )


def _misfits(new: Mapping[str, float], known: Mapping[str, float]) -> Iterator[Problem]:
    """Return where the new values do not go with the rest of the car."""
    yield from _above(
        new, known, "cg_ahead_of_rear_axle_mm", "wheelbase_mm", "the CG lies between the axles"
    )
    yield from _above(
        new, known, "axle_diameter_mm", "wheel_diameter_mm", "an axle is thinner than its wheel"
    )
    wheel, mass = known.get("wheel_mass_g"), known.get("mass_g")
    count = known.get("wheel_count", 4.0)
    if wheel is not None and mass is not None and wheel * count > mass:
        where = "wheel_mass_g" if "wheel_mass_g" in new else "wheel_count"
        if where in new:
            seen = f"{wheel:g} g for each of {count:g} wheels"
            allowed = f"together at most the car's mass ({mass:g} g)"
            yield Problem(where, seen, allowed, "weigh one wheel alone, or weigh the car again")


def _above(
    new: Mapping[str, float], known: Mapping[str, float], part: str, whole: str, why: str
) -> Iterator[Problem]:
    if part not in known or whole not in known or known[part] <= known[whole]:
        return
    if part in new:
        allowed = f"at most the {_words(whole)} ({known[whole]:g} mm)"
        yield Problem(part, f"{known[part]:g} mm", allowed, why)
    elif whole in new:
        allowed = f"at least the {_words(part)} ({known[part]:g} mm)"
        yield Problem(whole, f"{known[whole]:g} mm", allowed, why)


def _words(quantity: str) -> str:
    words = quantity.removesuffix("_mm").replace("_", " ")
    return words.replace("cg ahead", "CG ahead")
