"""Plan a build: sizes and depths of its holes, pieces and supplies, and the steps from them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, TypeVar

from sqlalchemy.orm import Session

from hillbench.building.plan import BuildPlan, Closing, Decals, Graphite, Opening, Wheels
from hillbench.building.screw_mass import screw_mass
from hillbench.building.step import Draw, Step
from hillbench.building.steps_of_plan import make_steps
from hillbench.errors import InvalidInput, Problem
from hillbench.fastening.rivet import head_removal
from hillbench.fastening.screw import find_head
from hillbench.records import drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import DrawerItem, ItemKind
from hillbench.usecases.build_entry import BuildEntry, entry_problems
from hillbench.usecases.choose_thread import answer_thread
from hillbench.usecases.pieces_of_build import Weight, pieces_of_build
from hillbench.usecases.thread_question import ThreadQuestion, read_thread_question

_DECAL_G: Final = 0.005
"""Mass of a small decal once dry, g; common practice, no source."""

_ROUND_G: Final = 0.01
"""Graphite that stays in a car each round, g; common practice, no source."""

_Value = TypeVar("_Value")


@dataclass(frozen=True, slots=True)
class PlannedBuild:
    """A plan with its steps.

    Attributes
    ----------
    plan
        What is to be done, with every size.
    steps
        In order.
    """

    plan: BuildPlan
    steps: tuple[Step, ...]


def plan_build(
    book: BenchBook, car_id: int, entry: BuildEntry, limit_g: float | None = None
) -> PlannedBuild:
    """Return the steps of a build that is not begun yet.

    Parameters
    ----------
    entry
        What is to be done.
    limit_g
        Most mass of the class, g; None for none.

    Raises
    ------
    InvalidInput
        With every entry that cannot be used.
    NotFound
        If a part is not in the drawer.
    """
    with book.read() as session:
        return plan_in(session, car_id, entry, limit_g)


def plan_in(
    session: Session, car_id: int, entry: BuildEntry, limit_g: float | None
) -> PlannedBuild:
    """Return the steps of a build, read in a session that is open already.

    Parameters
    ----------
    session
        An open session.
    entry
        What is to be done.
    limit_g
        Most mass of the class, g; None for none.
    """
    plan = _Reader(session, car_id, entry).read(limit_g)
    return PlannedBuild(plan, make_steps(plan))


class _Reader:
    """Reads an entry part by part and collects what is wrong with it."""

    def __init__(self, session: Session, car_id: int, entry: BuildEntry) -> None:
        self._session = session
        self._car_id = car_id
        self._entry = entry
        self._problems: list[Problem] = []

    def read(self, limit_g: float | None) -> BuildPlan:
        """Return the plan, or raise `InvalidInput` with every problem."""
        entry = self._entry
        self._problems += entry_problems(entry)
        closing = self._try(self._closing) if entry.screws else None
        opening = self._try(lambda: self._opening(closing)) if entry.rivets else None
        weight = self._try(self._weight) or Weight()
        if self._problems:
            raise InvalidInput(self._problems)
        return BuildPlan(
            material=entry.material,
            opening=opening,
            closing=closing,
            trim_g=entry.trim_g,
            trim_uncertainty_g=max(0.2 * entry.trim_g, 0.02),
            trim_text=entry.trim_text.strip(),
            pieces=weight.pieces,
            fixing=entry.fixing,
            putty_g=weight.putty_g,
            putty_stop_g=weight.putty_stop_g,
            screws_counted=weight.screws_counted,
            wheels=self._wheels(),
            decals=self._decals(),
            graphite=self._graphite(),
            limit_g=limit_g,
        )

    def _try(self, read: Callable[[], _Value]) -> _Value | None:
        try:
            return read()
        except InvalidInput as wrong:
            self._problems += [_named(problem) for problem in wrong.problems]
            return None

    def _opening(self, closing: Closing | None) -> Opening:
        entry = self._entry
        head_mm, height_mm = entry.rivet_head_mm, entry.rivet_head_height_mm
        if head_mm is None or height_mm is None:
            names = {"rivet_head_mm": head_mm, "rivet_head_height_mm": height_mm}
            missing = [name for name, value in names.items() if value is None]
            raise InvalidInput(
                [Problem(one, "empty", "a length in mm", "measure it") for one in missing]
            )
        sizes = head_removal(head_mm, height_mm, None if closing is None else closing.drill_mm)
        return Opening(
            entry.rivets,
            head_mm,
            height_mm,
            sizes.pilot.name,
            sizes.pilot.diameter_mm,
            sizes.drill.name,
        )

    def _closing(self) -> Closing:
        entry = self._entry
        if entry.screw_length_mm is None:
            allowed = "the length under the head"
            raise InvalidInput([Problem("screw_length_mm", "empty", allowed, "measure it")])
        case = read_thread_question(thread_question_of(entry))
        answer, thread = answer_thread(case), case.option.thread
        head = find_head(thread, entry.screw_head)
        length_mm = entry.screw_length_mm
        mass = screw_mass(thread.pitch_diameter_mm, length_mm, head.diameter_mm, head.height_mm)
        item = self._item(entry.screw_item_id, "screw_item_id", ItemKind.SCREW)
        depths = answer.depths
        return Closing(
            screws=entry.screws,
            thread=thread.designation,
            screw=item.name if item else f"{thread.designation} × {length_mm:g} mm {head.kind}",
            screw_mass_g=mass.value if item is None or item.mass_g is None else item.mass_g,
            drill=answer.drill,
            drill_mm=answer.drill_mm,
            drill_depth_mm=depths.drill_mm if depths else answer.engagement_mm,
            tap_depth_mm=depths.tap_mm if depths else answer.engagement_mm,
            formed=entry.formed,
            torque_n_mm=answer.safe_torque_n_mm,
            draw=Draw(item.id, float(entry.screws)) if item else None,
        )

    def _weight(self) -> Weight:
        return pieces_of_build(self._session, self._car_id, self._entry)

    def _wheels(self) -> Wheels | None:
        item = self._item(self._entry.wheel_item_id, "wheel_item_id", ItemKind.WHEEL)
        if item is None:
            return None
        draw = Draw(item.id, self._entry.wheel_amount)
        return Wheels(item.name, self._entry.wheel_change_g, 0.05, draw)

    def _decals(self) -> Decals | None:
        count = self._entry.decals
        if not count:
            return None
        item = self._item(self._entry.film_item_id, "film_item_id", ItemKind.FILM)
        draw = Draw(item.id, 1.0) if item else None
        return Decals(count, _DECAL_G * count, self._entry.decals_sealed, draw)

    def _graphite(self) -> Graphite | None:
        rounds = self._entry.graphite_rounds
        if not rounds:
            return None
        item = self._item(self._entry.lubricant_item_id, "lubricant_item_id", ItemKind.LUBRICANT)
        if item is None:
            return Graphite(rounds, round_g=_ROUND_G)
        return Graphite(rounds, item.name, _ROUND_G, Draw(item.id, _ROUND_G))

    def _item(self, item_id: int | None, where: str, kind: ItemKind) -> DrawerItem | None:
        if item_id is None:
            return None
        item = drawer_store.find_item(self._session, item_id)
        if item.kind is not kind:
            seen = f"{item.name!r}, which is a {item.kind}"
            raise InvalidInput([Problem(where, seen, f"a {kind} of the drawer")])
        return item


def thread_question_of(entry: BuildEntry) -> ThreadQuestion:
    """Return what is asked about the screws that close a car."""
    return ThreadQuestion(
        entry.thread,
        entry.drill.strip() or None,
        "formed" if entry.formed else "tapped",
        entry.material,
        head=entry.screw_head,
        screw_length_mm=_typed(entry.screw_length_mm),
        base_thickness_mm=_typed(entry.base_thickness_mm),
        post_height_mm=_typed(entry.post_height_mm),
    )


def _named(problem: Problem) -> Problem:
    """Return a problem under the name that the field has in a build."""
    return replace(problem, where="thread") if problem.where == "designation" else problem


def _typed(length_mm: float | None) -> str | None:
    return None if length_mm is None else f"{length_mm:.6g} mm"
