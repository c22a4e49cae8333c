"""What can go wrong with the bench book itself, each told in one sentence."""

from __future__ import annotations

from pathlib import Path

from hillbench.errors import HillbenchError


class BenchBookError(HillbenchError):
    """Base of every error about the bench book, by its file or its address on a server."""

    def __init__(self, path: Path | str, sentence: str) -> None:
        self.path = path
        super().__init__(sentence)


class NotABenchBook(BenchBookError):
    """The folder or its database file is something else."""

    def __init__(self, path: Path | str, what: str, remedy: str) -> None:
        super().__init__(
            path, f"{path} is {what}, not a bench book; it was left as it is: {remedy}."
        )


class NewerBenchBook(BenchBookError):
    """The database was written by a newer version of the program."""

    def __init__(self, path: Path | str, schema: str) -> None:
        self.schema = schema
        super().__init__(
            path,
            f"{path} was written by a newer Hillbench (schema {schema[:20]!r}) and was left as "
            "it is: install the newer version to open it.",
        )


class ReadOnlyBenchBook(BenchBookError):
    """Something was to be written where nothing may be written."""

    def __init__(self, path: Path | str) -> None:
        super().__init__(
            path,
            f"Nothing was saved, because {path} may only be read: allow writing there, or copy "
            "the folder and open the copy with --data.",
        )


class DiskFull(BenchBookError):
    """There is no room left on the disk."""

    def __init__(self, path: Path | str) -> None:
        super().__init__(
            path,
            f"Nothing was saved, because the disk that holds {path} is full: free some room and "
            "save again.",
        )


class BusyBenchBook(BenchBookError):
    """Another program kept the database to itself for too long."""

    def __init__(self, path: Path | str) -> None:
        super().__init__(
            path,
            f"Nothing was saved, because another program is writing to {path}: wait a moment and "
            "save again.",
        )


class DamagedBenchBook(BenchBookError):
    """The database is one of ours but parts of it cannot be read."""

    def __init__(self, path: Path | str) -> None:
        super().__init__(
            path,
            f"{path} is damaged and was left as it is: put the last backup in its place.",
        )


class ServerAway(BenchBookError):
    """The database server does not answer."""

    def __init__(self, address: str) -> None:
        super().__init__(
            address,
            f"The database server at {address} does not answer or refused the name or password; "
            "nothing was saved: check that it runs and that the address is right.",
        )


class BadArchive(BenchBookError):
    """An exported bench cannot be used; nothing of it was taken over."""

    def __init__(self, path: Path, what: str, remedy: str = "export the bench again") -> None:
        super().__init__(path, f"{path.name} {what}; nothing was imported: {remedy}.")


class FileExists(BenchBookError):
    """A file that was to be written is there already."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            path, f"{path} is there already and was left as it is: choose another name."
        )


class BenchNotEmpty(BenchBookError):
    """An import into a bench book that already holds something."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            path,
            f"The bench book in {path} already holds records and was left as it is: import into "
            "a new folder with --data FOLDER.",
        )
