"""What can hurt at the bench, and why: shown at the step where it matters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final


class Caution(StrEnum):
    """Each thing to beware of."""

    EYES_DRILL = "eyes at the drill"
    EYES_SNIPS = "eyes at the snips"
    VICE = "hold it in a vice"
    BLADE = "blades"
    METAL_DUST = "chips and metal dust"
    LEAD = "lead"
    GRAPHITE = "graphite dust"
    CYANOACRYLATE = "cyanoacrylate"
    EPOXY = "epoxy"
    SOLVENT = "solvents"
    SMALL_PARTS = "small parts"


@dataclass(frozen=True, slots=True)
class CautionText:
    """A caution in words.

    Attributes
    ----------
    rule
        What to do, one sentence.
    reason
        Why, one or two sentences.
    """

    rule: str
    reason: str


TEXTS: Final[Mapping[Caution, CautionText]] = {
    Caution.EYES_DRILL: CautionText(
        "Wear eye protection before the drill turns, and keep it on until it stands.",
        "Zinc comes off in sharp chips, and a drill of a millimetre snaps without warning; both "
        "fly at the height of your eyes.",
    ),
    Caution.EYES_SNIPS: CautionText(
        "Wear eye protection while you snip, and cover the piece with a finger or a cloth.",
        "A cut-off end of hard plastic or wire leaves the snips fast enough to hurt an eye.",
    ),
    Caution.VICE: CautionText(
        "Hold the part in a padded vice or a clamp, never in your fingers.",
        "When a drill breaks through, or a tool slips, it seizes the part and spins it or goes "
        "on into the hand behind it. Tie back hair, sleeves and cords; no gloves at a turning "
        "drill, it winds them in.",
    ),
    Caution.BLADE: CautionText(
        "Cut away from yourself on a board, with a sharp blade and in several light strokes.",
        "A blunt blade needs force and slips. Cap the knife when you lay it down, and put old "
        "blades into a tin, not into the bin.",
    ),
    Caution.METAL_DUST: CautionText(
        "Brush the chips off and wipe up; do not blow them away, and wash your hands.",
        "Chips blown off land in eyes and in bearings. Old die castings may hold lead, so their "
        "dust does not belong on hands that eat.",
    ),
    Caution.LEAD: CautionText(
        "Handle lead as little as you can: wash your hands afterwards, no food or drink at the "
        "bench, keep it away from children and pregnant women, and do not sand, file or melt it.",
        "Lead harms the brain and the blood, children most of all, and gets in through dust and "
        "from hand to mouth. Cut it with snips rather than a saw, cover it with paint or tape, "
        "and take scraps to a collection of hazardous waste. Safer metals: tungsten, bismuth, "
        "tin, steel, brass, zinc.",
    ),
    Caution.GRAPHITE: CautionText(
        "Dose dry graphite low over a tray, do not blow it about, and keep it off electrics; "
        "wear a dust mask where it floats.",
        "The dust is bad for lungs, and it conducts: in a timer, a laptop or a socket it makes "
        "short circuits.",
    ),
    Caution.CYANOACRYLATE: CautionText(
        "Glue in an aired room, with eye protection, and keep fingers clear of the joint.",
        "Cyanoacrylate bonds skin and eyelids within seconds, its fumes sting eyes and lungs, and "
        "on cotton it turns hot. Do not pull bonded skin apart: warm soapy water loosens it; with "
        "glue in an eye see a doctor.",
    ),
    Caution.EPOXY: CautionText(
        "Mix epoxy with gloves on, in an aired room, and keep it off your skin.",
        "Uncured resin and hardener can make the skin allergic for life.",
    ),
    Caution.SOLVENT: CautionText(
        "Use alcohol, setting solution, thinner and sprays in an aired room, away from flames "
        "and sparks.",
        "Their vapour burns and makes drowsy; wipes that are soaked with them dry outside before "
        "they go into the bin.",
    ),
    Caution.SMALL_PARTS: CautionText(
        "Keep screws, wheels, glazing and pieces of weight in a lidded box, out of reach of "
        "young children.",
        "Small parts choke, and an opened car has many; a car with weights inside is no toy "
        "for children under three.",
    ),
}
"""Usual cautions of the trade, from memory; none of them stands in for the maker's own."""

ALWAYS: Final = "Follow the maker's instructions and your local rules; they come before this."
