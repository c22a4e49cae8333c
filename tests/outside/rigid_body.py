"""A car as a rigid body on four wheels in MuJoCo: ramp, valley and flat, without losses."""

from __future__ import annotations

import math
from dataclasses import dataclass

import mujoco
import numpy as np
from numpy.typing import NDArray

PLANES = 400
STEP_S = 2e-4
WHEEL_COUNT = 4


@dataclass(frozen=True)
class Hill:
    """A straight ramp, an arc of one radius and a flat, in the metres along the track."""

    slope_deg: float
    ramp_m: float
    radius_m: float
    finish_m: float

    @property
    def slope_rad(self) -> float:
        return math.radians(self.slope_deg)

    @property
    def flat_from_m(self) -> float:
        return self.ramp_m + self.radius_m * self.slope_rad


@dataclass(frozen=True)
class Body:
    """A car in SI units; heights are above the track."""

    mass_kg: float
    wheelbase_m: float
    cg_ahead_m: float
    cg_height_m: float
    wheel_radius_m: float
    wheel_mass_kg: float
    wheel_inertia_factor: float
    pitch_gyration_m: float
    hinge_friction_nm: float = 0.0
    rolling_friction_m: float = 0.0


def run(body: Body, hill: Hill, gates_m: tuple[float, ...]) -> list[tuple[float, float]]:
    """Return time and speed of the front axle at each gate, all of them on the flat.

    The front axle stands above the start of the track at rest. Contact lags by half a step:
    forces act on the speed at the end of each step, so half a step is added to the time.
    """
    model = mujoco.MjModel.from_xml_string(_scene(body, hill))
    data = mujoco.MjData(model)
    x_of_gate = [gate - hill.flat_from_m for gate in gates_m]
    found: list[tuple[float, float]] = []
    before = _front_axle(data)
    while len(found) < len(gates_m) and data.time < 20.0:
        mujoco.mj_step(model, data)
        after = _front_axle(data)
        while len(found) < len(gates_m) and after[0] >= x_of_gate[len(found)]:
            part = (x_of_gate[len(found)] - before[0]) / (after[0] - before[0])
            time = data.time - STEP_S * (1.0 - part) + STEP_S / 2.0
            found.append((time, float(before[1] + part * (after[1] - before[1]))))
        before = after
    return found


def _front_axle(data: mujoco.MjData) -> tuple[float, float]:
    """Return place (from the start of the flat) and speed along x of the front axle.

    `qpos` and `qvel` of the free joint are of the car's frame, which sits in the front axle.
    """
    return float(data.qpos[0]), float(data.qvel[0])


def _scene(body: Body, hill: Hill) -> str:
    planes = "".join(
        _plane(hill, float(angle)) for angle in np.linspace(hill.slope_rad, 0.0, PLANES)
    )
    return f"""
<mujoco>
  <compiler angle="radian" autolimits="true"/>
  <option timestep="{STEP_S}" integrator="implicitfast" cone="elliptic" gravity="0 0 -9.80665"
          tolerance="1e-12" iterations="100" impratio="10"/>
  <default>
    <geom solref=".0005 1" solimp=".95 .99 1e-4" {_contact(body)}/>
  </default>
  <worldbody>{planes}{_car(body, hill)}</worldbody>
</mujoco>"""


def _plane(hill: Hill, angle: float) -> str:
    """Return one infinite plane, tangent to the valley where the slope is `angle`.

    The valley is a convex curve, so the highest of its tangent planes is its surface: the
    first plane is the ramp, the last one the flat.
    """
    x = -hill.radius_m * math.sin(angle)
    z = hill.radius_m * (1.0 - math.cos(angle))
    return (
        f'<geom type="plane" size="0 0 1" pos="{x!r} 0 {z!r}" '
        f'euler="0 {angle!r} 0" contype="2" conaffinity="1"/>'
    )


def _car(body: Body, hill: Hill) -> str:
    """Return the car, its frame in the front axle and x forward along the ramp."""
    angle = hill.slope_rad
    to_ramp_end = hill.ramp_m
    x = -hill.radius_m * math.sin(angle) - to_ramp_end * math.cos(angle)
    z = hill.radius_m * (1.0 - math.cos(angle)) + to_ramp_end * math.sin(angle)
    x += body.wheel_radius_m * math.sin(angle)
    z += body.wheel_radius_m * math.cos(angle)
    return f"""
    <body name="car" pos="{x!r} 0 {z!r}" euler="0 {angle!r} 0">
      <freejoint/>
      {_chassis(body)}
      {_wheel(body, 0.0, 0.012)}{_wheel(body, 0.0, -0.012)}
      {_wheel(body, -body.wheelbase_m, 0.012)}{_wheel(body, -body.wheelbase_m, -0.012)}
    </body>"""


def _chassis(body: Body) -> str:
    """Return the mass left to the chassis so that the whole car has its CG and pitch inertia."""
    wheels = WHEEL_COUNT * body.wheel_mass_kg
    mass = body.mass_kg - wheels
    cg = np.array([body.cg_ahead_m - body.wheelbase_m, body.cg_height_m - body.wheel_radius_m])
    wheel_centre = np.array([-body.wheelbase_m / 2.0, 0.0])
    centre = (body.mass_kg * cg - wheels * wheel_centre) / mass
    inertia = body.mass_kg * body.pitch_gyration_m**2 - mass * _square(centre - cg)
    for axle in (0.0, -body.wheelbase_m):
        inertia -= wheels / 2.0 * _square(np.array([axle, 0.0]) - cg)
    if inertia <= 0.0:
        raise ValueError("the pitch radius of gyration is too small for these wheels")
    side = inertia * 0.75
    return (
        f'<inertial mass="{mass!r}" pos="{float(centre[0])!r} 0 {float(centre[1])!r}" '
        f'diaginertia="{side!r} {float(inertia)!r} {side!r}"/>'
    )


def _square(vector: NDArray[np.float64]) -> float:
    return float(vector @ vector)


def _wheel(body: Body, x: float, y: float) -> str:
    spin = body.wheel_inertia_factor * body.wheel_mass_kg * body.wheel_radius_m**2
    side = spin * 0.6
    return f"""
      <body pos="{x!r} {y!r} 0"><joint type="hinge" axis="0 1 0" {_friction(body)}/>
        <inertial mass="{body.wheel_mass_kg!r}" pos="0 0 0"
                  diaginertia="{side!r} {spin!r} {side!r}"/>
        <geom type="sphere" size="{body.wheel_radius_m!r}" contype="1" conaffinity="2"/>
      </body>"""


def _friction(body: Body) -> str:
    """Return the dry friction of a hinge, as stiff as its solver allows."""
    if body.hinge_friction_nm == 0.0:
        return ""
    return f'frictionloss="{body.hinge_friction_nm!r}" solreffriction=".0005 1"'


def _contact(body: Body) -> str:
    """Return what resists in a contact: sliding and, with an arm, rolling."""
    if body.rolling_friction_m == 0.0:
        return 'friction="3 0 0" condim="3"'
    return f'friction="3 0 {body.rolling_friction_m!r}" condim="6"'
