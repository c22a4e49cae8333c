"""What was measured: runs of cars down one track, and tests on the bench and on the flat."""

from __future__ import annotations

from dataclasses import dataclass, replace

from hillbench import constants
from hillbench.coasting.car import Car
from hillbench.coasting.surroundings import Surroundings
from hillbench.coasting.track import Track
from hillbench.fitting.readings import TRACK, CoastOut, RollTest, SpinTest, TimedRun


@dataclass(frozen=True, slots=True)
class KnownCar:
    """A car with what is known of it.

    Attributes
    ----------
    name
        Its name in runs and tests.
    car
        Masses, lengths and wheels; its drag area is the median of what is believed of it.
    mass_uncertainty_g
        Standard uncertainty of a weighing of it, g.
    drag_area_spread
        Standard deviation of the logarithm of its drag area; 0.3 is about 30 %.
    """

    name: str
    car: Car
    mass_uncertainty_g: float = 0.05
    drag_area_spread: float = 0.3


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that was measured on one track as it was then.

    Attributes
    ----------
    track
        The track; runs on another or a rebuilt one do not belong here.
    cars
        Cars that runs and tests name.
    runs, coast_outs, spin_downs, roll_tests
        What was measured, in any order.
    timer_uncertainty_s
        Standard uncertainty of one time reading, s.
    fit_load_exponent
        Whether the bearing friction may fall with the load; else Coulomb's law holds.
    air_density_kg_m3, gravity_m_s2
        Air and gravity at the track.
    """

    track: Track
    cars: tuple[KnownCar, ...]
    runs: tuple[TimedRun, ...] = ()
    coast_outs: tuple[CoastOut, ...] = ()
    spin_downs: tuple[SpinTest, ...] = ()
    roll_tests: tuple[RollTest, ...] = ()
    timer_uncertainty_s: float = 0.001
    fit_load_exponent: bool = False
    air_density_kg_m3: float = constants.AIR_DENSITY_20C_KG_M3
    gravity_m_s2: float = constants.STANDARD_GRAVITY_M_S2

    @property
    def surroundings(self) -> Surroundings:
        """Gravity and air."""
        return Surroundings(self.air_density_kg_m3, self.gravity_m_s2)

    def known_car(self, name: str) -> KnownCar:
        """Return the car of a name; `KeyError` where there is none."""
        for known in self.cars:
            if known.name == name:
                return known
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class Setup:
    """A car as it stood at the start: the same unknowns and the same computed times.

    Attributes
    ----------
    name, state, surface
        Names of the car, of its lubrication state and of the surface it runs on.
    car
        The car with the mass and the CG it ran with.
    """

    name: str
    state: str
    car: Car
    surface: str = TRACK

    @property
    def owner(self) -> str:
        """Name of car and state together."""
        return f"{self.name}, {self.state}"


def setup_of(evidence: Evidence, reading: TimedRun | CoastOut) -> Setup:
    """Return the setup in which a reading was taken."""
    car = evidence.known_car(reading.car).car
    if reading.mass_g is not None:
        car = replace(car, mass_g=reading.mass_g)
    if reading.cg_ahead_of_rear_axle_mm is not None:
        car = replace(car, cg_ahead_of_rear_axle_mm=reading.cg_ahead_of_rear_axle_mm)
    surface = reading.surface if isinstance(reading, CoastOut) else TRACK
    return Setup(reading.car, reading.state, car, surface)


def measured_owners(evidence: Evidence) -> frozenset[str]:
    """Return car and state, as `Setup.owner`, of all readings that tell of bearings."""
    owners = [
        *((run.car, run.state) for run in evidence.runs),
        *((test.car, test.state) for test in evidence.coast_outs),
        *((test.car, test.state) for test in evidence.spin_downs),
    ]
    return frozenset(f"{car}, {state}" for car, state in owners)
