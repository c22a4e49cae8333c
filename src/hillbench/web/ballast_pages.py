"""What the pages about the ballast of a car show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import ClassVar, Final

from markupsafe import Markup

from hillbench.ballast.aims import Level
from hillbench.ballast.plan import Step
from hillbench.pictures.ballast_sheet import ballast_picture, ballast_thumbnail
from hillbench.pictures.ballast_solid import LEAST_TILT_DEG, MOST_TILT_DEG, solid_picture
from hillbench.pictures.solids import Look
from hillbench.records.drawer_entities import DrawerItem
from hillbench.records.entities import CarRecord
from hillbench.usecases.judge_plan import ClassCheck
from hillbench.usecases.keep_ballast_plan import KeptPlan
from hillbench.usecases.plan_car_ballast import CarToBallast
from hillbench.web.ballast_fields import METALS, SHAPES
from hillbench.web.ballast_jobs import Search
from hillbench.web.form_rows import Row, rows_of
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.typed import Typed

FIRST_LOOK: Final = Look(-32.0, 32.0)
_SOLID_PX: Final = 640
_AIMS: Final = {
    Level.MASS: "mass",
    Level.WINDOW: "centre of gravity in its window",
    Level.HEIGHT: "lowest centre of gravity",
    Level.PIECES: "fewest pieces",
}


@dataclass(frozen=True, slots=True)
class Alternative:
    """One plan beside the others.

    Attributes
    ----------
    kept
        The plan.
    time_s
        Predicted time on the track that was chosen, s; None without one.
    thumbnail
        The plan from above, small.
    """

    kept: KeptPlan
    time_s: float | None
    thumbnail: Markup

    @property
    def is_chosen(self) -> bool:
        """Whether the car is to be built by it."""
        return self.kept.record.chosen_at is not None

    @property
    def share_percent(self) -> float:
        """Place of the centre of gravity, percent of the wheelbase."""
        return 100.0 * self.kept.plan.cg_ahead_of_rear_axle_mm / self.kept.task.wheelbase_mm


@dataclass(frozen=True, slots=True)
class BallastPage(Page):
    """The ballast of a car: its alternatives side by side.

    Attributes
    ----------
    car
        The car with what a plan needs of it.
    alternatives
        Plans, the latest first.
    chosen
        The plan to build by; None where none is chosen.
    picture, shown_id
        Of the chosen plan, or of the latest, and its number; None without any.
    searches
        Searches that are not over.
    tracks
        Number and name of each track, to predict times on.
    track_id
        The one that is chosen; None without any.
    time_now_s
        Predicted time of the car as it is, s.
    """

    template: ClassVar[str] = "ballast/overview.html"
    place: ClassVar[str] = "cars"

    car: CarToBallast
    alternatives: tuple[Alternative, ...]
    chosen: Alternative | None
    picture: Pictured | None
    shown_id: int | None
    searches: tuple[Search, ...]
    tracks: tuple[tuple[int, str], ...]
    track_id: int | None
    time_now_s: float | None


@dataclass(frozen=True, slots=True)
class AskBallastPage(Page):
    """The question where ballast goes.

    Attributes
    ----------
    car
        The car with what a plan needs of it.
    typed
        The form.
    drawer
        Ballast pieces in the drawer.
    classes
        Number, name and limit of each class, to take the limit from.
    changes, stock
        Rows of what was added or removed, and of pieces.
    focus
        Kind of row whose last one gets the cursor; empty for none.
    shapes, metals
        Choices of a piece.
    """

    template: ClassVar[str] = "ballast/ask.html"
    place: ClassVar[str] = "cars"

    car: CarToBallast
    typed: Typed
    drawer: tuple[DrawerItem, ...]
    classes: tuple[tuple[int, str], ...]
    changes: tuple[Row, ...]
    stock: tuple[Row, ...]
    focus: str = ""
    shapes: tuple[tuple[str, str], ...] = SHAPES
    metals: tuple[tuple[str, str], ...] = field(
        default=tuple((name, name or "any") for name in METALS)
    )

    @classmethod
    def showing(
        cls,
        car: CarToBallast,
        typed: Typed,
        drawer: tuple[DrawerItem, ...],
        classes: tuple[tuple[int, str], ...],
        focus: str = "",
    ) -> AskBallastPage:
        """Return the page with a form in it."""
        changes, stock = (tuple(rows_of(typed.pairs, kind)) for kind in ("fixed", "stock"))
        return cls(car, typed, drawer, classes, changes, stock, focus)


@dataclass(frozen=True, slots=True)
class ImprovementLine:
    """One better plan on the way, in words and numbers."""

    after_s: float
    total_g: float
    cg_height_mm: float
    pieces: int


@dataclass(frozen=True, slots=True)
class SearchPage(Page):
    """A search that is not over, or that failed.

    Attributes
    ----------
    car
        The car.
    search
        The search.
    lines
        Better plans so far, the latest first.
    proven
        Aims that are proven, in words.
    picture
        Of the best plan so far; None before the first.
    """

    template: ClassVar[str] = "ballast/search.html"
    place: ClassVar[str] = "cars"

    car: CarRecord
    search: Search
    lines: tuple[ImprovementLine, ...]
    proven: tuple[str, ...]
    picture: Pictured | None


def improvement_lines(search: Search, most: int = 6) -> tuple[ImprovementLine, ...]:
    """Return the better plans so far, the latest first."""
    return tuple(
        ImprovementLine(
            one.after_s, one.plan.total_g, one.plan.cg_height_mm, len(one.plan.placements)
        )
        for one in reversed(search.improvements[-most:])
    )


def proven_aims(levels: Sequence[Level]) -> tuple[str, ...]:
    """Return aims in words."""
    return tuple(_AIMS[level] for level in dict.fromkeys(levels))


@dataclass(frozen=True, slots=True)
class TurningView:
    """A plan in space, and from where it is seen.

    Attributes
    ----------
    picture
        The picture.
    look
        From where it is seen.
    address
        Where another view is asked for.
    least_tilt_deg, most_tilt_deg
        Ends of the tilt.
    """

    picture: Markup
    look: Look
    address: str
    least_tilt_deg: float = LEAST_TILT_DEG
    most_tilt_deg: float = MOST_TILT_DEG


def turning_view(kept: KeptPlan, look: Look) -> TurningView:
    """Return a plan in space."""
    drawn = solid_picture(
        kept.task, kept.plan, kept.sentence, look, width_px=_SOLID_PX, key="solid"
    )
    address = f"/cars/{kept.record.car_id}/ballast/{kept.record.id}"
    return TurningView(Markup(drawn), look, address)  # noqa: S704  (names are escaped there)


@dataclass(frozen=True, slots=True)
class PlanPage(Page):
    """One plan of a car.

    Attributes
    ----------
    car
        The car.
    kept
        The plan.
    is_chosen
        Whether the car is to be built by it.
    picture
        From above, layer by layer, and in section.
    turning
        In space.
    sentence
        The answer in one sentence.
    steps
        What to do, with what the scale shows after each.
    tight
        The tightest places, in words.
    check
        The mass against the limit of the class.
    has_lead
        Whether a piece may be lead, for the caution.
    """

    template: ClassVar[str] = "ballast/plan.html"
    place: ClassVar[str] = "cars"

    car: CarRecord
    kept: KeptPlan
    is_chosen: bool
    picture: Pictured
    turning: TurningView
    sentence: str
    steps: tuple[Step, ...]
    tight: tuple[str, ...]
    check: ClassCheck
    has_lead: bool


@dataclass(frozen=True, slots=True)
class TurningPage(Page):
    """The view in space alone, while it is turned.

    Attributes
    ----------
    turning
        In space.
    """

    template: ClassVar[str] = "ballast/turning.html"
    place: ClassVar[str] = "cars"

    turning: TurningView


def alternative(kept: KeptPlan, time_s: float | None) -> Alternative:
    """Return a plan to stand beside others."""
    drawn = ballast_thumbnail(kept.task, kept.plan, kept.sentence, key=f"small-{kept.record.id}")
    return Alternative(kept, time_s, Markup(drawn))  # noqa: S704  (names are escaped there)


def plan_pictured(kept: KeptPlan, key: str) -> Pictured:
    """Return the picture of a plan in three widths."""
    return pictured(
        lambda width, name: ballast_picture(
            kept.task, kept.plan, kept.sentence, width_px=width, key=name
        ),
        key,
    )
