"""Hypothesis strategies for hills, cars and losses."""

from __future__ import annotations

from hypothesis import strategies as st

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.track import Bend, SlopePoint, Track


@st.composite
def tracks(draw: st.DrawFn) -> Track:
    """Draw hills that begin downhill and go on in any way, with bends and gates."""
    length = draw(st.floats(2.0, 12.0))
    count = draw(st.integers(1, 6))
    slopes = [draw(st.floats(8.0, 30.0))]
    slopes += [draw(st.floats(-3.0, 15.0)) for _ in range(count)]
    points = tuple(SlopePoint(index * length / count, slope) for index, slope in enumerate(slopes))
    bends = []
    for index in range(draw(st.integers(0, 4))):
        start = (index + 1) * length / 6.0
        turn = draw(st.sampled_from([-1.0, 1.0])) * draw(st.floats(5.0, 60.0))
        bends.append(Bend(start, start + length / 7.0, turn, draw(st.floats(-5.0, 25.0))))
    return Track(length, points, bends=tuple(bends), gates_at_m=(length / 2.0,))


@st.composite
def cars(draw: st.DrawFn) -> Car:
    """Draw cars within what builders meet."""
    wheelbase = draw(st.floats(20.0, 70.0))
    return Car(
        mass_g=draw(st.floats(20.0, 100.0)),
        wheelbase_mm=wheelbase,
        cg_ahead_of_rear_axle_mm=wheelbase * draw(st.floats(0.0, 1.0)),
        cg_height_mm=draw(st.floats(0.0, 20.0)),
        wheel_diameter_mm=draw(st.floats(7.0, 14.0)),
        axle_diameter_mm=draw(st.floats(0.5, 1.5)),
        nose_ahead_of_front_axle_mm=draw(st.floats(-10.0, 30.0)),
        wheel_mass_g=draw(st.floats(0.0, 2.0)),
        wheel_inertia_factor=draw(st.floats(0.3, 1.0)),
        drag_area_cm2=draw(st.floats(0.0, 8.0)),
        pitch_gyration_mm=draw(st.floats(0.0, 25.0)),
    )


@st.composite
def all_losses(draw: st.DrawFn) -> Losses:
    """Draw losses from none to large."""
    return Losses(
        bearing_friction=draw(st.floats(0.0, 0.4)),
        rolling_resistance=draw(st.floats(0.0, 0.02)),
        steady_drag_mn=draw(st.floats(0.0, 3.0)),
        wall_friction=draw(st.floats(0.0, 0.4)),
        bearing_load_exponent=draw(st.sampled_from([0.0, -0.2, -1.0 / 3.0])),
    )
