"""Files that are there whole or not at all, whatever happens on the way."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from hillbench.records.errors import FileExists


def write_atomically(path: Path, content: bytes) -> None:
    """Write a file that is complete and on the disk once its name is there.

    Raises
    ------
    OSError
        If it cannot be written; nothing is left of it then.
    """
    if path.exists() and path.stat().st_size == len(content):
        return  # kept by checksum: the same name is the same content
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=".new-", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """Give a temporary path to write to, which becomes `path` when all went well.

    Raises
    ------
    FileExists
        If `path` is there already; it is never overwritten.
    OSError
        If it cannot be written; nothing is left of it then.
    """
    try:
        path.open("xb").close()  # holds the name
    except FileExistsError as error:
        raise FileExists(path) from error
    temporary = path.with_name(f".new-{path.name}")
    try:
        yield temporary
        with temporary.open("rb+") as file:
            os.fsync(file.fileno())
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        path.unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def _sync_folder(folder: Path) -> None:
    if os.name == "posix":  # elsewhere a folder cannot be opened, and need not be
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
