"""What the pages about tracks show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

from markupsafe import Markup

from hillbench.coasting.track import Track
from hillbench.errors import InvalidInput
from hillbench.pictures.ground import lay_ground
from hillbench.pictures.hill import hill_picture, hill_sentence, hill_thumbnail
from hillbench.pictures.length_unit import LengthUnit
from hillbench.pictures.plan import plan_picture
from hillbench.records.entities import CarRecord
from hillbench.usecases.list_tracks import TrackSummary
from hillbench.usecases.sketch_track import HILL_WORDS, WINDING_WORDS
from hillbench.web.form_rows import Row, rows_of
from hillbench.web.outings_shown import TimesShown
from hillbench.web.page import Page
from hillbench.web.pictured import narrow_picture
from hillbench.web.track_entry import TrackReader
from hillbench.web.track_fields import SURFACES, WALLS
from hillbench.web.typed import Typed

_NOTHING: Final = Markup()


@dataclass(frozen=True, slots=True)
class TrackCard:
    """One track in the list.

    Attributes
    ----------
    id, name
        Of the track.
    length_m, drop_m, bends
        How long it is, how much lower its finish is, how many bends it has.
    runs, best_s, typical_s
        Times run on it; None without any.
    picture
        Its profile.
    """

    id: int
    name: str
    length_m: float
    drop_m: float
    bends: int
    runs: int
    best_s: float | None
    typical_s: float | None
    picture: Markup

    @classmethod
    def of(cls, summary: TrackSummary, unit: LengthUnit) -> TrackCard:
        """Return the card of a track."""
        record = summary.record
        heights = lay_ground(record.track, 900, 0.0, 100.0).heights_m
        drawn = hill_thumbnail(record.track, name=record.name, key=f"hill-{record.id}", unit=unit)
        return cls(
            id=record.id,
            name=record.name,
            length_m=record.track.finish_at_m,
            drop_m=float(heights[0] - heights[-1]),
            bends=len(record.track.bends),
            runs=summary.runs,
            best_s=summary.best_time_s,
            typical_s=summary.typical_time_s,
            picture=Markup(drawn),  # noqa: S704  (names are escaped where it is drawn)
        )


@dataclass(frozen=True, slots=True)
class TrackListPage(Page):
    """All tracks.

    Attributes
    ----------
    tracks
        Last changed first.
    """

    template: ClassVar[str] = "tracks/list.html"
    place: ClassVar[str] = "tracks"

    tracks: tuple[TrackCard, ...]


@dataclass(frozen=True, slots=True)
class BeginTrackPage(Page):
    """Three ways to begin a track.

    Attributes
    ----------
    typed
        The form of length, drop and shape.
    hills, windings
        Choices of shape and bends, value and words.
    """

    template: ClassVar[str] = "tracks/begin.html"
    place: ClassVar[str] = "tracks"

    typed: Typed
    hills: tuple[tuple[str, str], ...] = tuple((str(key), text) for key, text in HILL_WORDS.items())
    windings: tuple[tuple[str, str], ...] = tuple(
        (str(key), text) for key, text in WINDING_WORDS.items()
    )


@dataclass(frozen=True, slots=True)
class Preview:
    """The picture that follows while a track is typed.

    Attributes
    ----------
    sentence
        The track in one sentence, or what to do first.
    profile, plan
        Pictures; empty where there is nothing to draw yet, the plan also for a straight track.
    problems
        What keeps it from being drawn.
    """

    sentence: str
    profile: Markup = _NOTHING
    plan: Markup = _NOTHING
    problems: tuple[str, ...] = ()

    @classmethod
    def of(cls, reader: TrackReader, name: str, unit: LengthUnit) -> Preview:
        """Return the picture of what was typed so far."""
        try:
            track = reader.track()
        except InvalidInput as wrong:
            shown = reader.refused(wrong).problems
            sentence = "The picture comes when the numbers below fit together."
            return cls(sentence, problems=tuple(problem.sentence for problem in shown[:5]))
        return cls.drawn(track, name, unit)

    @classmethod
    def drawn(cls, track: Track, name: str, unit: LengthUnit) -> Preview:
        """Return the pictures of a track that can be run."""
        name = name.strip() or "The track"
        profile = narrow_picture(
            lambda width, key: hill_picture(track, name=name, width_px=width, key=key, unit=unit),
            "hill",
        )
        plan = narrow_picture(
            lambda width, key: plan_picture(track, name=name, width_px=width, key=key, unit=unit),
            "plan",
        )
        return cls(hill_sentence(track, unit), profile, plan if track.bends else _NOTHING)


@dataclass(frozen=True, slots=True)
class TrackFormPage(Page):
    """The editor of a track.

    Attributes
    ----------
    heading
        Its name, or that it is new.
    address
        Where the form is sent.
    track_id
        Of the track; None for a new one.
    typed
        The form.
    preview
        Its picture.
    cars
        Cars that can be seen on it.
    outings
        Times in outings on it; None without any, and while the form is put right.
    focus
        Kind of row whose last one gets the cursor; empty for none.
    points, bends
        The rows of the form.
    surfaces, walls
        Choices of rolling resistance and wall friction, value and words.
    """

    template: ClassVar[str] = "tracks/edit.html"
    place: ClassVar[str] = "tracks"

    heading: str
    address: str
    track_id: int | None
    typed: Typed
    preview: Preview
    cars: tuple[CarRecord, ...] = ()
    outings: TimesShown | None = None
    focus: str = ""
    points: tuple[Row, ...] = ()
    bends: tuple[Row, ...] = ()
    surfaces: tuple[tuple[str, str], ...] = SURFACES
    walls: tuple[tuple[str, str], ...] = WALLS

    @classmethod
    def showing(
        cls,
        typed: Typed,
        preview: Preview,
        *,
        heading: str = "A new track",
        track_id: int | None = None,
        cars: tuple[CarRecord, ...] = (),
        outings: TimesShown | None = None,
        focus: str = "",
    ) -> TrackFormPage:
        """Return the editor with a form in it."""
        return cls(
            heading=heading,
            address="/tracks/new" if track_id is None else f"/tracks/{track_id}",
            track_id=track_id,
            typed=typed,
            preview=preview,
            cars=cars,
            outings=outings,
            focus=focus,
            points=tuple(rows_of(typed.pairs, "point")),
            bends=tuple(rows_of(typed.pairs, "bend")),
        )


@dataclass(frozen=True, slots=True)
class PreviewPage(Page):
    """The picture alone, while typing.

    Attributes
    ----------
    preview
        The picture.
    """

    template: ClassVar[str] = "tracks/preview.html"
    place: ClassVar[str] = "tracks"

    preview: Preview
