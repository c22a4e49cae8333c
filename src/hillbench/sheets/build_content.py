"""What a build sheet says, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, field

from hillbench.sheets.flow import Row
from hillbench.sheets.page_frame import Link


@dataclass(frozen=True, slots=True)
class SheetPhoto:
    """A photo with its size.

    Attributes
    ----------
    data
        JPEG or PNG file.
    width_px, height_px
        Its size.
    caption
        What it shows; may be empty.
    """

    data: bytes = field(repr=False)
    width_px: int
    height_px: int
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Interval:
    """A time with its 90 % interval, s.

    Attributes
    ----------
    typical_s, low_s, high_s
        Typical time and the ends of its interval.
    runs
        How many runs it rests on.
    """

    typical_s: float
    low_s: float
    high_s: float
    runs: int


@dataclass(frozen=True, slots=True)
class JudgedTime:
    """What a build gained, judged by all that was run beside it.

    Attributes
    ----------
    gain_s, low_s, high_s
        Seconds gained, negative for lost, and the ends of the 90 % interval.
    settled
        Whether it is sure enough to be claimed, as a gain or as a loss.
    """

    gain_s: float
    low_s: float
    high_s: float
    settled: bool


@dataclass(frozen=True, slots=True)
class TrackTimes:
    """Times of a car on one track, before a build and after it.

    Attributes
    ----------
    track
        Its name.
    before, after
        Times; None where there were no runs.
    sentence
        What the build gained there, in one sentence; empty where it cannot be told.
    gain
        The same as numbers; None where it cannot be told.
    """

    track: str
    before: Interval | None
    after: Interval | None
    sentence: str = ""
    gain: JudgedTime | None = None


@dataclass(frozen=True, slots=True)
class BuildContent:
    """Everything a build sheet says.

    Attributes
    ----------
    title
        Name of the build.
    car
        The car and its casting, in words.
    lines
        What is said below the title: when, for which class.
    sentence
        What the build came to, in one sentence; may be empty.
    photo
        The car; None where there is no photo.
    times
        Times before and after.
    masses, balance, fasteners, lubrication, decals, parts
        Rows of each table; empty where nothing is known.
    ballast_picture
        The ballast plan as one of our pictures, SVG; empty where there is none.
    ballast_note
        What stands below it.
    notes
        What is to be kept in mind, such as cautions.
    link
        The page of the build.
    foot
        Who made the sheet and when.
    """

    title: str
    car: str
    lines: tuple[str, ...]
    sentence: str
    photo: SheetPhoto | None
    times: tuple[TrackTimes, ...]
    masses: tuple[Row, ...]
    balance: tuple[Row, ...]
    fasteners: tuple[Row, ...]
    lubrication: tuple[Row, ...]
    decals: tuple[Row, ...]
    parts: tuple[Row, ...]
    ballast_picture: str
    ballast_note: str
    notes: tuple[str, ...]
    link: Link
    foot: str
