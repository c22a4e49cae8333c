"""How a meet is run, as it is typed into a form."""

from __future__ import annotations

from typing import Final

from hillbench import units
from hillbench.errors import Problem
from hillbench.racing.format import NEEDS_TIMER, OF_TWO, Format
from hillbench.racing.meet_state import MeetSettings
from hillbench.racing.official import Score, TieBreak
from hillbench.web.typed import Answers

LABELS: Final = {
    "format": "Format",
    "lanes": "Lanes",
    "rounds": "Rounds",
    "finalists": "Cars in the final",
    "final_rounds": "Rounds of the final",
    "score": "Score",
    "drop": "Worst runs dropped",
    "points": "Points by place",
    "ties": "Ties",
    "draw": "Draw",
    "cars": "Cars",
    "lane": "Lane",
}
FORMAT_NOTES: Final = {
    Format.TIMED_HEATS: "Every car on every lane; the model takes lanes and heats out.",
    Format.TIMED_HEATS_FINAL: "Recommended with a timer: all times pooled tell the fastest car "
    "more surely than any ladder for the same number of runs.",
    Format.TWO_RUNS_FINAL: "Quick for many cars: two runs each, then a final of the fastest.",
    Format.POINTS: "Where only places are seen: equal lanes, points by place.",
    Format.SINGLE: "A show: one loss and out. It lowers the odds that the fastest car wins.",
    Format.SINGLE_SEEDED: "Two timed runs seed a ladder.",
    Format.SINGLE_OF_THREE: "As single elimination, each match the best of three.",
    Format.DOUBLE: "Two losses and out; the best ladder without a timer.",
    Format.PAIRS: "Every car meets every other once.",
}
"""What each format is for, in one line."""

TIES: Final = (
    ("best time,second best time", "best time, then second best"),
    ("most heats won,best time", "most heats won, then best time"),
    ("heats won against each other,best time", "heats won against each other, then best time"),
    ("most heats won,heats won against each other", "most heats won, then against each other"),
    ("", "shared"),
)
SCORES: Final = (
    ("mean", "mean of all times"),
    ("sum", "sum of all times"),
    ("drop worst", "sum without the worst"),
    ("best", "best time"),
    ("points", "points by place"),
)


def read_settings(answers: Answers) -> MeetSettings:
    """Return settings as typed; raise `InvalidInput` with all that is wrong."""
    chosen = answers.choice("format", [str(one) for one in Format])
    score = answers.choice("score", [str(one) for one in Score])
    ties = answers.choice("ties", [value for value, _ in TIES])
    whole = {
        name: _whole(answers, name, default)
        for name, default in (
            ("lanes", 4),
            ("rounds", 1),
            ("finalists", 4),
            ("final_rounds", 1),
            ("drop", 0),
        )
    }
    points = _points(answers)
    timed = answers.text("timed") != "no"
    if not timed and Format(chosen) in NEEDS_TIMER:
        allowed = "one that does without a timer"
        answers.problems.append(Problem("format", f"{chosen}, without times", allowed))
    answers.require()
    open_track = answers.text("open_track") == "yes" and Format(chosen) in OF_TWO
    return MeetSettings(
        format=Format(chosen),
        timed=timed,
        open_track=open_track,
        meet_equally=answers.text("meet_equally") == "yes",
        score=score,
        points=points,
        ties=tuple(str(TieBreak(one)) for one in ties.split(",") if one),
        must_pass=answers.text("must_pass") == "yes",
        **{**whole, **({"lanes": 2} if open_track else {})},
    )


def settings_fields(settings: MeetSettings) -> tuple[tuple[str, str], ...]:
    """Return settings as they would be typed."""
    ties = ",".join(settings.ties)
    return (
        ("format", str(settings.format)),
        ("lanes", str(settings.lanes)),
        ("rounds", str(settings.rounds)),
        ("timed", "yes" if settings.timed else "no"),
        ("open_track", "yes" if settings.open_track else ""),
        ("meet_equally", "yes" if settings.meet_equally else ""),
        ("finalists", str(settings.finalists)),
        ("final_rounds", str(settings.final_rounds)),
        ("score", settings.score),
        ("drop", str(settings.drop)),
        ("points", ", ".join(f"{one:g}" for one in settings.points)),
        ("ties", ties if ties in dict(TIES) else TIES[0][0]),
        ("must_pass", "yes" if settings.must_pass else ""),
    )


def _whole(answers: Answers, name: str, default: int) -> int:
    value = answers.quantity(name, units.NUMBER, required=False)
    if value is None:
        return default
    if value != round(value) or abs(value) > 1000:
        answers.problems.append(Problem(name, answers.text(name), "a whole number"))
        return default
    return round(value)


def _points(answers: Answers) -> tuple[float, ...]:
    text = answers.text("points").strip() or "4, 3, 2, 1"
    found = []
    for word in text.replace(";", " ").replace(", ", " ").split():
        try:
            value = float(word.strip(",").replace(",", "."))
        except ValueError:
            value = float("nan")
        if not 0.0 <= value <= 1e6:
            allowed = "numbers from 0, such as 4, 3, 2, 1"
            answers.problems.append(Problem("points", repr(word), allowed))
            return (1.0,)
        found.append(value)
    if found != sorted(found, reverse=True):
        answers.problems.append(Problem("points", text, "none greater for a worse place"))
    return tuple(found[:50])
