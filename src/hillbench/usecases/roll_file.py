"""Answer what rolls over a floor in a file say: how a car steers, and which axle does it."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from hillbench.coasting.roll_series import AimedRoll, AxleSteer, read_rolls
from hillbench.errors import InvalidInput, Problem
from hillbench.usecases.judge_roll_tests import predict_scrub
from hillbench.usecases.question import read_question
from hillbench.usecases.tell_roll_tests import tell_scrub, tell_steer

_WHEELBASE_RANGE_MM: Final = (5.0, 200.0)


@dataclass(frozen=True, slots=True)
class RollQuestion:
    """Rolls of one car since its axles were set.

    Attributes
    ----------
    wheelbase_mm
        Distance between the axles, mm.
    rolls
        The rolls in the order made; the last tells how the axles stand now.
    """

    wheelbase_mm: float
    rolls: tuple[AimedRoll, ...]


@dataclass(frozen=True, slots=True)
class RollAnswer:
    """How the car steers; angles in degrees, positive to the left, ± standard uncertainties.

    Attributes
    ----------
    sentence
        The answer in one sentence.
    scrub_sentence
        What the steer costs, in words.
    steer_deg, steer_uncertainty_deg
        Angle between the directions of the axles.
    curvature_1_m, drift_mm_per_m
        Curvature of the path, 1/m, and drift over the first metre, mm.
    front_deg, front_uncertainty_deg, rear_deg, rear_uncertainty_deg
        Direction of each axle against the body.
    probability_front, probability_rear
        Chance that putting that axle alone square takes away more than half of the steer.
    turned_deg, turned_uncertainty_deg
        Steer with the axles as built, the front, the rear and both turned end for end; known
        badly for what was not rolled.
    rolling, rolling_least, rolling_most
        Force over weight that the steer adds between walls: expected, least and most.
    """

    sentence: str
    scrub_sentence: str
    steer_deg: float
    steer_uncertainty_deg: float
    curvature_1_m: float
    drift_mm_per_m: float
    front_deg: float
    front_uncertainty_deg: float
    rear_deg: float
    rear_uncertainty_deg: float
    probability_front: float
    probability_rear: float
    turned_deg: tuple[float, ...]
    turned_uncertainty_deg: tuple[float, ...]
    rolling: float
    rolling_least: float
    rolling_most: float


def read_roll_question(text: str) -> RollQuestion:
    """Return the question in a JSON text; raises `InvalidInput` with every problem of form."""
    return read_question(text, RollQuestion)


def answer_rolls(question: RollQuestion) -> RollAnswer:
    """Return what the rolls say; raises `InvalidInput` with every problem of content."""
    problems = list(_problems(question))
    if problems:
        raise InvalidInput(problems)
    return _answer(read_rolls(question.rolls, question.wheelbase_mm))


def _answer(axles: AxleSteer) -> RollAnswer:
    angle = axles.steer.steer_angle_deg
    scrub = predict_scrub(abs(angle.value), None)
    return RollAnswer(
        sentence=tell_steer(angle),
        scrub_sentence=tell_scrub(scrub),
        steer_deg=angle.value,
        steer_uncertainty_deg=angle.standard_uncertainty,
        curvature_1_m=axles.steer.curvature_1_m.value,
        drift_mm_per_m=axles.steer.drift_mm_per_m,
        front_deg=axles.front_deg.value,
        front_uncertainty_deg=axles.front_deg.standard_uncertainty,
        rear_deg=axles.rear_deg.value,
        rear_uncertainty_deg=axles.rear_deg.standard_uncertainty,
        probability_front=axles.probability_front,
        probability_rear=axles.probability_rear,
        turned_deg=tuple(one.value for one in axles.as_turned_deg),
        turned_uncertainty_deg=tuple(one.standard_uncertainty for one in axles.as_turned_deg),
        rolling=scrub.rolling,
        rolling_least=scrub.rolling_least,
        rolling_most=scrub.rolling_most,
    )


def _problems(question: RollQuestion) -> Iterator[Problem]:
    least, most = _WHEELBASE_RANGE_MM
    if not least <= question.wheelbase_mm <= most:
        seen = f"{question.wheelbase_mm:g} mm"
        yield Problem("wheelbase_mm", seen, f"between {least:g} and {most:g} mm")
    for number, roll in enumerate(question.rolls):
        place = f"rolls[{number}]"
        if not 0.0 <= roll.drift_uncertainty_mm <= 500.0:
            seen = f"{roll.drift_uncertainty_mm:g} mm"
            yield Problem(f"{place}.drift_uncertainty_mm", seen, "between 0 and 500 mm")
        if not 0.0 <= roll.aim_uncertainty_deg <= 10.0:
            seen = f"{roll.aim_uncertainty_deg:g} deg"
            yield Problem(f"{place}.aim_uncertainty_deg", seen, "between 0 and 10 deg")
        if not 0 <= roll.sitting < 100:
            yield Problem(f"{place}.sitting", f"{roll.sitting}", "a whole number from 0 to 99")
    try:
        read_rolls(
            [dataclasses.replace(roll, sitting=0) for roll in question.rolls],
            max(question.wheelbase_mm, least),
        )
    except InvalidInput as wrong:
        yield from wrong.problems
