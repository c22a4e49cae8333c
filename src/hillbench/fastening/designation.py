"""Threads, drills and lengths as they are typed at the bench."""

from __future__ import annotations

import difflib
import re
from typing import Final

from hillbench import constants, units
from hillbench.errors import InvalidInput, Problem
from hillbench.fastening.drill import Drill, drills, nearest_drill
from hillbench.fastening.thread import Thread, threads

_LONGEST: Final = 40
_WORDS: Final = re.compile(r"^(?:no\.?|nr\.?|number|size|drill)\s*(?=[#\d])", re.IGNORECASE)
_FRACTION: Final = re.compile(r"^(\d+)\s*/\s*(\d+)\s*(.*)$")
_NUMBER: Final = re.compile(r"^#?\s*(\d+)$")
_LENGTH: Final = re.compile(r"^(\d+(?:[.,]\d*)?|[.,]\d+)\s*(mm|in|inch|\")$", re.IGNORECASE)
_BARE: Final = re.compile(r"^(?:\d+[.,]\d*|[.,]\d+)$")
_LARGEST_MM: Final = 15.0
_FITS: Final = re.compile(r"\s*-?\s*(?:UNC|UNF|UN)?\s*-?\s*(?:[123][AB]|6[gH])?$", re.IGNORECASE)


def parse_thread(text: str, where: str = "designation") -> Thread:
    """Return the thread of a designation.

    Parameters
    ----------
    text
        As typed: ``2-56``, ``#2-56 UNC``, ``M2x0.4``, ``M2``.
    where
        Name of the field, for the message.

    Raises
    ------
    InvalidInput
        If the table has no such thread; names the nearest ones.
    """
    wanted = _plain_thread(text)
    for thread in threads():
        if wanted == thread.designation.lower():
            return thread
    sized = [thread for thread in threads() if wanted == thread.size.lower()]
    if len(sized) == 1 and wanted.startswith("m"):
        return sized[0]
    raise InvalidInput([_unknown_thread(text, wanted, where, sized)])


def parse_drill(text: str, where: str = "drill") -> Drill:
    """Return the drill of a size as typed.

    Parameters
    ----------
    text
        ``5/64``, ``5/64 in``, ``#50``, ``C``, ``1.75mm``, ``0.070 in``.
    where
        Name of the field, for the message.

    Raises
    ------
    InvalidInput
        If it is no size, has no unit, mixes a fraction with mm, or there is no such drill;
        names the nearest one.
    """
    wanted = _WORDS.sub("", text.strip()) if len(text) <= _LONGEST else ""
    fraction, length = _FRACTION.match(wanted), _LENGTH.match(wanted)
    if fraction:
        return _fraction_drill(text, fraction, where)
    if length:
        return _typed_drill(text, length, where)
    if _BARE.match(wanted):
        raise InvalidInput([_without_unit(text, wanted, where)])
    number = _NUMBER.match(wanted)
    name = f"#{int(number[1])}" if number else wanted.upper()
    for drill in drills():
        if drill.name == name:
            if number and text.strip() == number[1]:
                # A bare 50 may be anything; "#50" and "No. 50" leave no doubt.
                raise InvalidInput([_bare_number(text, drill, where)])
            return drill
    raise InvalidInput([_unknown_drill(text, name, where)])


def parse_length_mm(text: str, where: str) -> float:
    """Return a length typed into a field of millimetres.

    Parameters
    ----------
    text
        ``4``, ``4.5 mm``, ``3/16 in``; a bare fraction is asked about.
    where
        Name of the field, for the message.

    Raises
    ------
    InvalidInput
        If it is no length, or a fraction without ``in``: fractions are inch sizes.
    """
    fraction = _FRACTION.match(text.strip())
    if fraction and fraction[3].lower() in ("", "mm") and int(fraction[2]):
        raise InvalidInput([_mixed(text, fraction, where)])
    return units.parse_quantity(text, units.LENGTH, "mm", where)


def _plain_thread(text: str) -> str:
    wanted = _WORDS.sub("", " ".join(text.split())[:_LONGEST]).lstrip("#").strip().lower()
    wanted = wanted.replace("×", "x").replace("–", "-").replace("*", "x")
    wanted = _FITS.sub("", wanted) if len(wanted) > 3 else wanted
    wanted = re.sub(r"\s*([x-])\s*", r"\1", wanted)
    if wanted.startswith("m"):
        wanted = re.sub(r"(?<=\d)-(?=\d)", "x", wanted).replace(",", ".").replace("m ", "m")
    return wanted


def _unknown_thread(text: str, wanted: str, where: str, sized: list[Thread]) -> Problem:
    allowed = "an inch thread from 0-80 to 10-32 or a metric one from M1.6x0.35 to M3x0.5"
    near = [thread.designation for thread in sized]
    if not near:
        names = {thread.designation.lower(): thread.designation for thread in threads()}
        close = difflib.get_close_matches(wanted, names, n=1, cutoff=0.0)
        near = [names[name] for name in close]
    return Problem(where, repr(text), allowed, f"did you mean {' or '.join(near)}?")


def _fraction_drill(text: str, match: re.Match[str], where: str) -> Drill:
    top, bottom, unit = int(match[1]), int(match[2]), match[3].strip().lower()
    if bottom == 0 or top == 0:
        raise InvalidInput([Problem(where, repr(text), "a drill size such as 5/64 or #50")])
    if unit == "mm":
        raise InvalidInput([_mixed(text, match, where)])
    diameter_mm = top / bottom * constants.MM_PER_INCH
    near = nearest_drill(diameter_mm, [one for one in drills() if one.kind == "fraction"])
    if unit in ("", "in", "inch", '"') and abs(near.diameter_mm - diameter_mm) < 1e-4:
        return near
    allowed = "a fraction drill, in 64ths up to 1/2 in"
    raise InvalidInput([Problem(where, repr(text), allowed, f"did you mean {near.name}?")])


def _typed_drill(text: str, match: re.Match[str], where: str) -> Drill:
    unit = "mm" if match[2].lower() == "mm" else "in"
    value = float(match[1].replace(",", "."))
    diameter_mm = value if unit == "mm" else value * constants.MM_PER_INCH
    if not 0.0 < diameter_mm <= _LARGEST_MM:
        allowed = f"more than 0 and at most {_LARGEST_MM:g} mm"
        raise InvalidInput([Problem(where, repr(text), allowed, "check the unit")])
    for drill in drills():
        if drill.kind == "metric" and abs(drill.diameter_mm - diameter_mm) < 1e-6:
            return drill
    return Drill(f"{value:g} {unit}", diameter_mm, "typed")


def _mixed(text: str, match: re.Match[str], where: str) -> Problem:
    inches = int(match[1]) / int(match[2])
    name = f"{match[1]}/{match[2]} in"
    remedy = f"did you mean {name}, which is {inches * constants.MM_PER_INCH:.3f} mm?"
    return Problem(where, repr(text), "a decimal number of mm, or a fraction with in", remedy)


def _without_unit(text: str, wanted: str, where: str) -> Problem:
    inch = float(wanted.replace(",", ".")) < 0.5
    likely = f"{wanted} in" if inch else f"{wanted} mm"
    return Problem(where, repr(text), "a size with its unit", f"did you mean {likely}?")


def _bare_number(text: str, drill: Drill, where: str) -> Problem:
    remedy = f"did you mean {drill.name}, which is {drill.diameter_mm:.3f} mm?"
    return Problem(where, repr(text), "a number drill with its mark #, or mm or in", remedy)


def _unknown_drill(text: str, name: str, where: str) -> Problem:
    allowed = "#1 to #80, A to Z, a fraction in 64ths, or a size in mm or in"
    number = _NUMBER.match(name)
    if number:
        near = "#80" if int(number[1]) > 80 else "#1"
    else:
        names = [drill.name for drill in drills()]
        near = difflib.get_close_matches(name, names, n=1, cutoff=0.0)[0]
    return Problem(where, repr(text), allowed, f"did you mean {near}?")
