from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate
from scipy.special import ndtr

from hillbench.coasting.car import Car
from hillbench.fitting import prior
from hillbench.fitting.coordinates import Coordinates
from hillbench.fitting.evidence import Setup
from hillbench.fitting.layout import Layout
from hillbench.fitting.ridge import Ridge
from hillbench.fitting.unknown import Unknown

LAYOUT = Layout(
    (
        prior.wall_friction(),
        prior.steady_drag_mn("A"),
        prior.bearing_friction("A", "dry"),
        prior.bearing_load_exponent(),
    ),
    {("steady_drag_mn", "A"): 1, ("bearing_friction", "A, dry"): 2},
    ("", "A", "A", ""),
)
CAR = Car(37.0, 40.0, 18.0, 9.0, 10.0, 1.0, wheel_mass_g=0.7)
COORDINATES = Coordinates.of(LAYOUT, Ridge.of(LAYOUT, [Setup("A", "dry", CAR)], 9.8))
SCORE = st.floats(-4.0, 4.0)


def _alone(unknown: Unknown) -> Coordinates:
    layout = Layout((unknown,), {}, ("",))
    return Coordinates.of(layout, Ridge.of(layout, (), 9.8))


@given(SCORE, SCORE, SCORE, SCORE)
def test_scores_come_back(first: float, second: float, third: float, fourth: float) -> None:
    scores = np.array([[first, second, third, fourth]])
    assert COORDINATES.scores(COORDINATES.points(scores)) == pytest.approx(scores, abs=1e-9)


def test_prior_keeps_all_probability() -> None:
    """Along one coordinate it is a density: the standard normal's constant makes it 1."""
    one = _alone(prior.wall_friction())
    spread = prior.wall_friction().spread

    def density(y: float) -> float:
        height = float(np.exp(one.log_prior(np.array([[y]]))[0]))
        return height / spread / math.sqrt(2.0 * math.pi)

    assert integrate.quad(density, -60.0, 4e4, limit=400, points=[0.0, 20.0, 400.0])[0] == (
        pytest.approx(1.0, abs=1e-6)
    )


def test_an_even_prior_stays_even() -> None:
    """du/dy of the way over the score's density: the coordinate's density integrates to 1."""
    one = _alone(prior.bearing_load_exponent())

    def density(y: float) -> float:
        return float(np.exp(one.log_prior(np.array([[y]]))[0]))

    below, whole = (
        integrate.quad(density, -3.0, end, limit=400, points=[0.0, 0.25])[0] for end in (0.25, 4.0)
    )
    assert whole == pytest.approx(1.0, abs=1e-6)
    assert float(ndtr(one.scores(np.array([[0.25]]))[0, 0])) == pytest.approx(below, abs=1e-6)


def test_slopes_of_the_prior() -> None:
    from scipy.differentiate import jacobian

    point = COORDINATES.points(np.array([[0.3, -1.2, 0.7, 1.1]]))[0]
    gradient, precision = COORDINATES.prior_slopes(point)

    def density(x: np.ndarray) -> np.ndarray:
        flat = x.reshape(4, -1).T
        return COORDINATES.log_prior(flat).reshape(x.shape[1:])

    assert gradient == pytest.approx(jacobian(density, point).df, rel=1e-4, abs=1e-6)
    assert np.all(np.diag(precision) > 0.0)


def test_times_stay_the_same_along_the_ridge() -> None:
    """Moved along the drag alone, a car loses the same force: here 0.098 N x 1/10 x 34.2/1000."""
    points = COORDINATES.points(np.array([[0.0, 0.0, 0.5, 0.0]])) + np.array(
        [[0.0, 0.0, 0.0, 0.0], [0.0, 0.6, 0.0, 0.0], [0.0, -1.5, 0.0, 0.0]]
    )
    scores = COORDINATES.scores(points)
    drag_mn = prior.steady_drag_mn("A").values(scores[:, 1])
    friction = prior.bearing_friction("A", "dry").values(scores[:, 2])
    lost_mn = friction * 0.1 * (37.0 - 4 * 0.7) * 9.8 + drag_mn
    assert np.ptp(drag_mn) > 0.4
    assert lost_mn == pytest.approx(lost_mn[0], rel=1e-4)
