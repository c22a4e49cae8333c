"""The exported bench as a zip file: written whole, read with suspicion."""

from __future__ import annotations

import hashlib
import json
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from pydantic import ValidationError

from hillbench.records.bench_checks import check_bench
from hillbench.records.bench_file import FILE_SCHEMA, FORMAT, BenchFile
from hillbench.records.errors import BadArchive
from hillbench.records.photo_files import LARGEST_BYTES, photo_path

BENCH_NAME: Final = "bench.json"
SUMS_NAME: Final = "SHA256SUMS"
LARGEST_BENCH_BYTES: Final = 200_000_000
LARGEST_SUMS_BYTES: Final = 50_000_000
_PHOTO_NAME: Final = re.compile(r"photos/[0-9a-f]{64}")
_SUM_LINE: Final = re.compile(r"([0-9a-f]{64})  ([A-Za-z0-9._/]{1,200})")
_OTHER_FILE: Final = "choose a file made by export; a backup is unzipped into an empty folder"
_UNREADABLE: Final = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    UnicodeDecodeError,
    ValueError,
)


def write_archive(
    path: Path, bench: BenchFile, photo_folder: Path, checksums: Iterable[str]
) -> None:
    """Write a bench with its photo files as one zip with a list of checksums."""
    content = (bench.model_dump_json(indent=1) + "\n").encode()
    sums = {BENCH_NAME: hashlib.sha256(content).hexdigest()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(BENCH_NAME, content)
        for sha256 in checksums:
            name = f"photos/{sha256}"
            sums[name] = sha256
            archive.write(photo_path(photo_folder, sha256), name, zipfile.ZIP_STORED)
        lines = "".join(f"{sha256}  {name}\n" for name, sha256 in sums.items())
        archive.writestr(SUMS_NAME, lines)


class BenchArchive:
    """An exported bench that was found to be whole; photos are read one by one."""

    def __init__(self, path: Path, archive: zipfile.ZipFile) -> None:
        self._path = path
        self._archive = archive
        self._sums = self._read_sums()
        self.bench = self._read_bench()
        self._check_photos()

    def photo(self, sha256: str) -> bytes:
        """Return the photo file with a checksum."""
        return self._read(f"photos/{sha256}", LARGEST_BYTES)

    def _read_sums(self) -> Mapping[str, str]:
        names = self._archive.namelist()
        strange = [name for name in names if not _known(name)]
        if strange or len(set(names)) != len(names) or not {BENCH_NAME, SUMS_NAME} <= set(names):
            raise BadArchive(self._path, "is no exported bench", _OTHER_FILE)
        text = _limited(self._path, self._archive, SUMS_NAME, LARGEST_SUMS_BYTES).decode("ascii")
        matches = [_SUM_LINE.fullmatch(line) for line in text.splitlines()]
        sums = {match[2]: match[1] for match in matches if match is not None}
        if None in matches or {*sums, SUMS_NAME} != set(names):
            raise BadArchive(self._path, "does not hold the files that its list names")
        return sums

    def _read(self, name: str, most_bytes: int) -> bytes:
        content = _limited(self._path, self._archive, name, most_bytes)
        if hashlib.sha256(content).hexdigest() != self._sums[name]:
            raise BadArchive(self._path, f"is damaged: {name} does not match its checksum")
        return content

    def _read_bench(self) -> BenchFile:
        content = self._read(BENCH_NAME, LARGEST_BENCH_BYTES)
        self._check_head(json.loads(content))
        try:
            bench = BenchFile.model_validate_json(content)
        except ValidationError as error:
            first = error.errors()[0]
            where = ".".join(str(part) for part in first["loc"])
            what = f"holds something unexpected at {where} ({first['msg']})"
            raise BadArchive(self._path, what) from None
        for problem in check_bench(bench):
            raise BadArchive(self._path, f"cannot be used: {problem.sentence().rstrip('.')}")
        return bench

    def _check_head(self, head: object) -> None:
        if not isinstance(head, dict) or head.get("format") != FORMAT:
            raise BadArchive(self._path, "is no exported bench", _OTHER_FILE)
        schema = head.get("file_schema")
        if isinstance(schema, int) and schema > FILE_SCHEMA:
            what = f"was written by a newer Hillbench (file schema {schema})"
            raise BadArchive(self._path, what, "install the newer version")

    def _check_photos(self) -> None:
        needed = self.bench.photo_checksums()
        if {f"photos/{sha256}" for sha256 in needed} != set(self._sums) - {BENCH_NAME}:
            raise BadArchive(self._path, "does not hold the photos that its bench names")
        for sha256 in needed:
            if self._sums[f"photos/{sha256}"] != sha256:
                raise BadArchive(self._path, "is damaged: a photo does not match its name")
            self.photo(sha256)


@contextmanager
def open_archive(path: Path) -> Iterator[BenchArchive]:
    """Open an exported bench and check all of it.

    Raises
    ------
    BadArchive
        If any of it is damaged, missing, unexpected, too large or of a newer program.
    OSError
        If the file cannot be read.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            opened = BenchArchive(path, archive)
            yield opened
    except _UNREADABLE as error:
        raise BadArchive(path, "is damaged, or no zip file") from error


def _known(name: str) -> bool:
    return name in (BENCH_NAME, SUMS_NAME) or _PHOTO_NAME.fullmatch(name) is not None


def _limited(path: Path, archive: zipfile.ZipFile, name: str, most_bytes: int) -> bytes:
    """Return a file of the archive; what it says of its own size is not believed."""
    with archive.open(name) as file:
        content = file.read(most_bytes + 1)
    if len(content) > most_bytes:
        raise BadArchive(path, f"holds a file that is too large ({name})")
    return content
