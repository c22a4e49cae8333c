"""The ridge between steady drag and bearing friction, along which the times stay the same."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.result import Floats
from hillbench.fitting.evidence import Setup
from hillbench.fitting.layout import Layout
from hillbench.fitting.unknown import LARGEST_LOG


@dataclass(frozen=True, slots=True)
class Ridge:
    """Pairs of a bearing friction and the steady drag that it is mistaken for.

    Attributes
    ----------
    friction_at, steady_at
        Numbers of the unknowns of each pair, shape (r,).
    rate
        Friction that brakes like one mN of steady drag, 1/mN, shape (r,).
    centre_mn, spread
        Median and logarithmic standard deviation of each drag beforehand, shape (r,).

    Notes
    -----
    With bearings μ and drag F a car of mass m, wheels m_w, loses
    μ (r_axle/r_wheel) (m - m_w) g + F: times at one mass tell this sum only.
    """

    friction_at: NDArray[np.intp]
    steady_at: NDArray[np.intp]
    rate: Floats
    centre_mn: Floats
    spread: Floats

    @classmethod
    def of(
        cls, layout: Layout, ran: Sequence[Setup], gravity_m_s2: float, spun: Collection[str] = ()
    ) -> Ridge:
        """Return the pairs of all setups that ran; those of one car and state are one pair.

        A state that was `spun` (car and state, as `Setup.owner`) is none: its friction was read,
        so the drag is not mistaken for it.
        """
        carried_g: dict[tuple[int, int], list[float]] = {}
        for setup in ran:
            car = setup.car
            friction = layout.places.get(("bearing_friction", setup.owner))
            drag = layout.places.get(("steady_drag_mn", setup.name))
            if friction is not None and drag is not None and setup.owner not in spun:
                ratio = car.axle_diameter_mm / car.wheel_diameter_mm
                bears_g = ratio * (car.mass_g - car.wheel_count * car.wheel_mass_g)
                carried_g.setdefault((friction, drag), []).append(bears_g)
        drags = [layout.unknowns[drag] for _, drag in carried_g]
        return cls(
            np.array([friction for friction, _ in carried_g], dtype=np.intp),
            np.array([drag for _, drag in carried_g], dtype=np.intp),
            np.array([1.0 / (gravity_m_s2 * np.mean(bears)) for bears in carried_g.values()]),
            np.array([one.centre for one in drags]),
            np.array([one.spread for one in drags]),
        )

    def friction_of_drag(self, scores: Floats) -> Floats:
        """Return the friction that brakes like the drag at some scores, shape (k, r)."""
        logs = np.minimum(self.spread * scores[:, self.steady_at], LARGEST_LOG)
        return self.rate * self.centre_mn * np.exp(logs)
