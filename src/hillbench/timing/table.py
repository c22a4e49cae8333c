"""Bytes of a file, or text pasted from a spreadsheet, as rows of cells."""

from __future__ import annotations

import csv
import io
from typing import Final

from hillbench.errors import InvalidInput, Problem

MOST_ROWS: Final = 200_000
_MOST_BYTES: Final = 50_000_000
_DELIMITERS: Final = "\t;|,"
_SAMPLE_LINES: Final = 30


def decode(data: bytes, where: str = "file") -> str:
    """Return the text of a file in UTF-8, UTF-16 with a byte-order mark, or Windows-1252.

    Raises
    ------
    InvalidInput
        If the file is too large or no text.
    """
    if len(data) > _MOST_BYTES:
        raise InvalidInput([Problem(where, f"{len(data)} bytes", f"at most {_MOST_BYTES} bytes")])
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if not _has_controls(text):
            return text
    remedy = "save the sheet as CSV, or paste its cells"
    raise InvalidInput([Problem(where, "no text", "a table of text", remedy)])


def split(text: str, where: str = "file") -> list[tuple[int, list[str]]]:
    """Return the rows of a table with their line numbers, without empty ones.

    Parameters
    ----------
    text
        Cells parted by tabs, semicolons, bars or commas, quoted as spreadsheets do; or by
        spaces where there is none of these.
    where
        Name of the file or field, for messages.

    Raises
    ------
    InvalidInput
        If there is nothing in it, it is no text, a quote is never closed, or rows are too many.
    """
    if _has_controls(text):
        remedy = "save the sheet as CSV, or paste its cells"
        raise InvalidInput([Problem(where, "no text", "a table of text", remedy)])
    delimiter = _delimiter(text)
    if delimiter is None:
        lines = enumerate(text.splitlines(), start=1)
        rows = [(number, line.split()) for number, line in lines if line.strip()]
    else:
        rows = _csv_rows(text, delimiter, where)
    if not rows:
        raise InvalidInput([Problem(where, "empty", "one row for each run", "add the runs")])
    if len(rows) > MOST_ROWS:
        raise InvalidInput([Problem(where, f"{len(rows)} rows long", f"at most {MOST_ROWS} rows")])
    return rows


def _csv_rows(text: str, delimiter: str, where: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows = []
    begin = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((begin, [cell.strip() for cell in cells]))
            begin = reader.line_num + 1
    except csv.Error as error:
        seen = f"unreadable in line {begin} ({error})"
        raise InvalidInput([Problem(where, seen, "a table with closed quotes")]) from None
    return rows


def _delimiter(text: str) -> str | None:
    """Return what parts the cells: the mark that most lines of the beginning have alike.

    A comma may be a decimal one, so it counts only where no other mark does.
    """
    lines = [line for line in text[:20_000].splitlines() if line.strip()][:_SAMPLE_LINES]
    for mark in _DELIMITERS:
        if sum(mark in line for line in lines) > len(lines) // 2:
            return mark
    return None


def _has_controls(text: str) -> bool:
    sample = text[:20_000]
    odd = sum(character < " " and character not in "\t\r\n\f\x1a" for character in sample)
    return "\0" in text or odd > len(sample) // 200
