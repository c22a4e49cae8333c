"""What the runs say: a mixture of normal distributions, one for each state of the sampler."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillbench.timing.design import Design, Floats


@dataclass(frozen=True, slots=True)
class Posterior:
    """States of the sampler after its start.

    Given a state's spread and its bad runs, the coefficients are exactly normal; so each
    state keeps their mean and variance instead of one draw (Rao-Blackwell).

    Attributes
    ----------
    design
        The model sampled.
    spread_s
        Standard deviation of a clean run in each state, shape (s,).
    means, variances
        Of the coefficients in the turned coordinates in which they are independent,
        shape (s, p).
    turn
        Columns are the turned coordinates in terms of the standardised ones, shape (p, p).
    bad_probability
        Probability that each run was bad, shape (n,).
    """

    design: Design
    spread_s: Floats
    means: Floats
    variances: Floats
    turn: Floats
    bad_probability: Floats

    def normals(self, weights: Floats) -> tuple[Floats, Floats]:
        """Return mean and standard deviation, in each state, of sums of coefficients, s.

        Parameters
        ----------
        weights
            Weights of the coefficients for each of k sums, shape (k, p).

        Returns
        -------
        means, deviations
            Shape (s, k).
        """
        turned = weights @ self.turn
        return self.means @ turned.T, np.sqrt(self.variances @ (turned**2).T)

    def draws(self, weights: Floats, rng: np.random.Generator) -> Floats:
        """Return one joint draw of sums of coefficients from each state, shape (s, k)."""
        noise = rng.standard_normal(self.means.shape)
        return (self.means + noise * np.sqrt(self.variances)) @ (weights @ self.turn).T

    def thinned(self, most: int) -> Posterior:
        """Return about `most` states at most, evenly taken."""
        # Odd, so that states of all chains are taken, not of every other chain.
        step = len(self.spread_s) // max(most, 1) | 1
        return Posterior(
            self.design,
            self.spread_s[::step],
            self.means[::step],
            self.variances[::step],
            self.turn,
            self.bad_probability,
        )


def share_below(limit: float, means: Floats, deviations: Floats) -> Floats:
    """Return the probability of each mixture (a column) to be below `limit`, shape (k,)."""
    from scipy.special import ndtr

    share: Floats = ndtr((limit - means) / deviations).mean(axis=0)
    return share


def quantiles(
    means: Floats, deviations: Floats, shares: tuple[float, ...], rng: np.random.Generator
) -> Floats:
    """Return quantiles of each mixture (a column), shape (len(shares), k).

    Each state gives several draws, one from each of as many equal parts of its normal
    distribution, so that the quantiles vary less than with free draws.
    """
    from scipy.special import ndtri

    count = int(np.clip(40_000 // max(means.size, 1), 1, 8))
    parts = (np.arange(count)[:, None, None] + rng.random((count, *means.shape))) / count
    draws = (means + deviations * ndtri(parts)).reshape(-1, means.shape[1])
    return np.quantile(draws, shares, axis=0)
