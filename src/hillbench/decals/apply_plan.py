"""How the decals get onto the car: steps in order, with what must be waited for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from hillbench.decals.panel import ROLES, Panel

SOAK_S: Final = 15
SOAK_SOURCE: Final = "common practice, no source"
OUTGAS_LEAST_H: Final = 12
OUTGAS_GOOD_H: Final = 24
"""Time for water and solvents to leave the film before it is sealed: common practice, no source."""

APPLY: Final = "Apply to the"
"""How the title of a step that puts decals on begins."""

INK_DRY_MIN: Final = 30
SETTLE_MIN: Final = 10


class Hazard(StrEnum):
    """What can hurt in a step."""

    NONE = ""
    BLADE = "blade"
    SOLVENT = "solvent"


@dataclass(frozen=True, slots=True)
class ApplyStep:
    """One thing to do.

    Attributes
    ----------
    title
        In a few words.
    text
        How.
    minutes
        Work, min.
    wait_min
        What must pass after it before the next step, min.
    wait_for
        What is waited for; empty for nothing.
    caution
        What can go wrong for people, with its reason; empty where nothing can.
    source
        Where the figures come from; empty where there are none.
    hazard
        Kind of what can hurt.
    """

    title: str
    text: str
    minutes: float
    wait_min: float = 0.0
    wait_for: str = ""
    caution: str = ""
    source: str = ""
    hazard: Hazard = Hazard.NONE


@dataclass(frozen=True, slots=True)
class Application:
    """One piece that goes onto the car.

    Attributes
    ----------
    name
        Of the item.
    panel
        Where it goes.
    width_mm
        Of the cut piece, mm.
    near
        What it lies close to, such as a door gap.
    """

    name: str
    panel: Panel
    width_mm: float
    near: tuple[str, ...] = ()


def apply_steps(
    applications: Sequence[Application], *, printed_at_home: bool = True, white_film: bool = False
) -> tuple[ApplyStep, ...]:
    """Return the steps in the order they are done; nothing where nothing is applied.

    Parameters
    ----------
    applications
        Every piece that goes onto the car.
    printed_at_home
        Whether the ink must first be fixed with clear coat, as on home-printed film.
    white_film
        Whether the film is white, so that its cut edges show.
    """
    if not applications:
        return ()
    steps = list(_prepare(printed_at_home=printed_at_home, white_film=white_film))
    settled = False
    for number, (panel, pieces) in enumerate(_by_panel(applications)):
        steps.append(_apply(panel, pieces, told=number > 0))
        if panel.curvature != "flat" or any(piece.near for piece in pieces):
            steps.append(_set(panel, pieces, told=settled))
            settled = True
    steps += _finish(glass=any(one.panel.glass for one in applications))
    return tuple(steps)


_VAPOUR: Final = (
    "Spray outdoors or with an extractor and a mask for organic vapour: the solvents harm lungs "
    "and nerves, and their vapour catches fire."
)
_BLADE: Final = "Fresh blade, fingers behind it: a blunt one slips and cuts the hand that holds it."


def _prepare(*, printed_at_home: bool, white_film: bool) -> Iterator[ApplyStep]:
    if printed_at_home:
        yield ApplyStep(
            "Let the ink dry",
            "Lay the sheet flat, print up; do not touch it.",
            1.0,
            INK_DRY_MIN,
            "the ink to dry",
            source=SOAK_SOURCE,
        )
        yield ApplyStep(
            "Fix the print",
            "Two or three thin coats of acrylic clear, the first one a mist: ink from a home "
            "printer runs in water. Try the test strip first.",
            10.0,
            OUTGAS_LEAST_H * 60.0,
            "the coat to give off its solvent",
            _VAPOUR,
            SOAK_SOURCE,
            Hazard.SOLVENT,
        )
    yield ApplyStep(
        "Clean the panels",
        "Wash off grease with mild soap, rinse, dry. The paint must be glossy and hard: film "
        "silvers on matt paint.",
        5.0,
    )
    edge = " White film: cut right on the line and touch up the white edge." if white_film else ""
    yield ApplyStep(
        "Cut out",
        f"Along the cut lines, corners round: sharp ones lift.{edge}",
        10.0,
        caution=_BLADE,
        hazard=Hazard.BLADE,
    )


def _by_panel(applications: Sequence[Application]) -> list[tuple[Panel, list[Application]]]:
    """Return pieces by panel: flat ones first, then curved, large pieces before small ones."""
    panels: dict[str, tuple[Panel, list[Application]]] = {}
    for one in applications:
        panels.setdefault(one.panel.name, (one.panel, []))[1].append(one)
    order = {"flat": 0, "one way": 1, "two ways": 2}
    found = sorted(
        panels.values(), key=lambda pair: (order[pair[0].curvature], ROLES.index(pair[0].role))
    )
    return [
        (panel, sorted(pieces, key=lambda piece: piece.width_mm, reverse=True))
        for panel, pieces in found
    ]


def _apply(panel: Panel, pieces: Sequence[Application], *, told: bool) -> ApplyStep:
    names = ", ".join(dict.fromkeys(piece.name for piece in pieces))
    count = f" ({len(pieces)} pieces)" if len(pieces) > 1 else ""
    how = (
        f"Soak each about {SOAK_S} s in lukewarm water and wait until it slides on its backing. "
        "Wet the place, slide it off the backing, never pull; push it to its place while it "
        "swims. Hold one end and roll the water out towards the other with a damp cotton bud."
    )
    if told:
        how = f"The same way: soak about {SOAK_S} s, wet the place, slide, roll the water out."
    if panel.glass:
        how += " On glass from outside, or inside with the print mirrored."
    return ApplyStep(
        f"{APPLY} {panel.name}: {names}{count}",
        how,
        4.0 * len(pieces),
        SETTLE_MIN,
        "the film to sit before the next panel is touched",
        source=SOAK_SOURCE,
    )


def _set(panel: Panel, pieces: Sequence[Application], *, told: bool) -> ApplyStep:
    near = " and ".join(dict.fromkeys(name for piece in pieces for name in piece.near))
    why = f"near {near}" if near else f"the {panel.name} curves {panel.curvature}"
    slits = (
        " Slit the film where it folds; it closes again." if panel.curvature == "two ways" else ""
    )
    how = (
        f"Brush setting solution under and over the edges ({why}); the film wrinkles, then draws "
        f"itself down: do not touch it.{slits} What still curls gets a drop of clear coat."
    )
    if told:
        how = f"The same way, setting solution under and over the edges ({why}).{slits}"
    return ApplyStep(
        f"Settle the edges on the {panel.name}",
        how,
        3.0,
        60.0,
        "the setting solution to dry",
        "Air the room, keep it off skin and eyes: setting solution is a weak acid or solvent.",
        SOAK_SOURCE,
        Hazard.SOLVENT,
    )


def _finish(*, glass: bool) -> Iterator[ApplyStep]:
    yield ApplyStep(
        "Let it dry through",
        f"Half a day ({OUTGAS_LEAST_H} h) at least, better a whole one ({OUTGAS_GOOD_H} h), warm "
        "and dust-free: water and solvent left below the film blister under the seal.",
        1.0,
        OUTGAS_GOOD_H * 60.0,
        "water and solvent to leave the film",
        source=SOAK_SOURCE,
    )
    masked = " Mask the windows: solvent frosts clear plastic." if glass else ""
    yield ApplyStep(
        "Seal",
        "Thin coats of a clear that suits ink and paint: water-based acrylic over anything that "
        "has dried, lacquer only over lacquer and only as a mist first (it lifts acrylic and "
        "dissolves ink), two-part clear over a dry coat of acrylic. Try it on the test "
        f"strip.{masked} Keep it off axles, wheels and posts.",
        10.0,
        OUTGAS_GOOD_H * 60.0,
        "the clear coat to harden",
        _VAPOUR + " Two-part clear holds isocyanate: a cartridge mask, no exceptions.",
        SOAK_SOURCE,
        Hazard.SOLVENT,
    )
