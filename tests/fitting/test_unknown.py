from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from hillbench.fitting import prior
from hillbench.fitting.unknown import Shape, Unknown

Z = np.linspace(-4.0, 4.0, 17)
P = stats.norm.cdf(Z)


@pytest.mark.parametrize(
    ("unknown", "wanted"),
    [
        (prior.rolling_resistance(), stats.lognorm(0.7, scale=0.008)),
        (Unknown("n", "o", "", Shape.NORMAL, 2.0, 0.5, ""), stats.norm(2.0, 0.5)),
        (prior.bearing_load_exponent(), stats.uniform(-1.0 / 3.0, 1.0 / 3.0)),
        (prior.bad_rate(), stats.beta(1.0, 15.0)),
    ],
    ids=lambda one: one.name if isinstance(one, Unknown) else "",
)
def test_values_are_the_quantiles_of_the_prior(unknown: Unknown, wanted: object) -> None:
    expected = wanted.ppf(P)  # type: ignore[attr-defined]
    assert unknown.values(Z) == pytest.approx(expected, rel=1e-9)
    low, high = unknown.prior_interval()
    assert (low, high) == pytest.approx(wanted.ppf([0.05, 0.95]))  # type: ignore[attr-defined]


def test_every_prior_says_where_it_comes_from() -> None:
    for one in (
        prior.rolling_resistance(), prior.wall_friction(), prior.scrub_per_deg(),
        prior.bearing_load_exponent(), prior.steady_drag_mn("A"), prior.bad_rate(),
        prior.drag_area_cm2("A", 4.0, 0.3), prior.bearing_friction("A", "dry"),
        prior.run_scatter_s(10.0),
    ):  # fmt: skip
        assert one.source
