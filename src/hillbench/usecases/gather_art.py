"""Read the art that a file of decals names, from beside it and from nowhere else."""

from __future__ import annotations

from pathlib import Path

from hillbench.decals.artwork import Artwork
from hillbench.errors import InvalidInput, Problem
from hillbench.usecases.decal_question import DecalQuestion
from hillbench.usecases.read_artwork import LARGEST_BYTES, read_artwork


def art_beside(folder: Path, question: DecalQuestion) -> dict[str, Artwork]:
    """Return the art that the items name, each read once.

    Parameters
    ----------
    folder
        Folder of the file that asks.
    question
        What is asked.

    Raises
    ------
    InvalidInput
        If a name leads out of the folder, there is no such file, or it cannot be used.
    """
    names = dict.fromkeys(item.art for item in question.items if item.art is not None)
    return {name: _read(folder, name) for name in names}


def _read(folder: Path, name: str) -> Artwork:
    allowed = "the name of a file beside the question"
    if "\0" in name or not name.strip():
        raise InvalidInput([Problem("art", repr(name), allowed)])
    path = folder / name
    if not path.resolve().is_relative_to(folder.resolve()):
        raise InvalidInput([Problem("art", repr(name), allowed, "put the file there")])
    if not path.is_file():
        raise InvalidInput([Problem("art", f"{name!r}, which is not there", allowed)])
    if path.stat().st_size > LARGEST_BYTES:
        seen = f"{path.stat().st_size / 1e6:.1f} MB large"
        raise InvalidInput([Problem(name, seen, f"at most {LARGEST_BYTES // 1_000_000} MB")])
    return read_artwork(path.read_bytes(), name)
