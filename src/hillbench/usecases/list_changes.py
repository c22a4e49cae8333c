"""List the changes to a car or a track that are worth asking the hill about."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from hillbench.coasting.car import Car, check_car
from hillbench.coasting.losses import Losses
from hillbench.usecases.set_scene import Scene

_ADDED_G: Final = 5.0
_CG_STEP_MM: Final = 2.0
_LIGHTER_WHEEL: Final = 0.8


@dataclass(frozen=True, slots=True)
class Proposal:
    """A car and losses with one thing changed.

    Attributes
    ----------
    label, detail
        The change in words, and from what to what.
    car, losses
        As they would be after it.
    """

    label: str
    detail: str
    car: Car
    losses: Losses


def list_proposals(scene: Scene) -> tuple[Proposal, ...]:
    """Return the changes that can be made to this car on this track."""
    car, losses = scene.description.car, scene.losses
    proposals = [*_of_car(car, losses), *_of_losses(car, losses)]
    return tuple(proposal for proposal in proposals if not check_car(proposal.car))


def _of_car(car: Car, losses: Losses) -> Iterator[Proposal]:
    heavier = replace(car, mass_g=car.mass_g + _ADDED_G)
    yield Proposal(
        f"{_ADDED_G:g} g more weight",
        f"from {car.mass_g:.1f} to {heavier.mass_g:.1f} g, CG where it is",
        heavier,
        losses,
    )
    cg = car.cg_ahead_of_rear_axle_mm
    for step, word in ((-_CG_STEP_MM, "back"), (_CG_STEP_MM, "forward")):
        moved = replace(car, cg_ahead_of_rear_axle_mm=cg + step)
        yield Proposal(
            f"Weight {_CG_STEP_MM:g} mm further {word}",
            f"CG from {cg:.1f} to {cg + step:.1f} mm ahead of the rear axle",
            moved,
            losses,
        )
    if car.wheel_mass_g > 0.0:
        lighter = replace(car, wheel_mass_g=_LIGHTER_WHEEL * car.wheel_mass_g)
        yield Proposal(
            "Wheels a fifth lighter, same total weight",
            f"from {car.wheel_mass_g:.2f} to {lighter.wheel_mass_g:.2f} g each",
            lighter,
            losses,
        )
    if car.drag_area_cm2 > 0.0:
        slimmer = replace(car, drag_area_cm2=0.9 * car.drag_area_cm2)
        yield Proposal(
            "A tenth less air drag",
            f"drag area from {car.drag_area_cm2:.2f} to {slimmer.drag_area_cm2:.2f} cm²",
            slimmer,
            losses,
        )


def _of_losses(car: Car, losses: Losses) -> Iterator[Proposal]:
    shares = (
        ("bearing_friction", "Bearings a quarter freer", 0.75, "bearing friction"),
        ("wall_friction", "Walls a quarter smoother", 0.75, "wall friction"),
        ("rolling_resistance", "Rolling a quarter easier", 0.75, "rolling resistance"),
        ("steady_drag_mn", "No steady drag: nothing rubs", 0.0, "steady drag, mN,"),
    )
    for name, label, share, word in shares:
        now = getattr(losses, name)
        if now > 0.0:
            after = replace(losses, **{name: share * now})
            yield Proposal(label, f"{word} from {now:.3g} to {share * now:.3g}", car, after)
