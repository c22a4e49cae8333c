"""Files that are no photos, photos that are too large, and names that point elsewhere."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from hillbench.records.bench_book import BenchBook
from hillbench.usecases.read_meet import read_meet
from tests.usecases.meets import open_meet
from tests.web.conftest import CheckedClient

SIGNED = {"mass_g": "58", "wheelbase_mm": "41", "question_0": "yes", "signed_by": "Bo"}


def chunk(kind: bytes, content: bytes) -> bytes:
    check = zlib.crc32(kind + content)
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", check)


def huge_png() -> bytes:
    """A file of some hundred bytes that says it is 60,000 pixels wide and high (PNG, ISO 15948)."""
    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    pixels = chunk(b"IDAT", zlib.compress(b"\0" * 1000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + pixels + chunk(b"IEND", b"")


def small_png() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), (200, 40, 40)).save(file, "PNG")
    return file.getvalue()


@pytest.mark.parametrize(
    "content",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        b"<html><script>alert(1)</script>",
        b"GIF89a<script>alert(1)</script>",
        b"PK\x03\x04" + bytes(200),
        small_png()[:40],
        huge_png(),
    ],
    ids=["svg", "html", "gif", "zip", "cut off", "huge"],
)
def test_what_is_no_photo_is_refused_and_nothing_is_kept(
    client: CheckedClient, book: BenchBook, content: bytes
) -> None:
    meet = open_meet(book, 4, drawn=False)
    sent = {"photo": ("x.png", content, "image/png")}
    answer = client.post(f"/meets/{meet}/scrutiny/1", data=SIGNED, files=sent)
    assert answer.status_code == 422
    assert not read_meet(book, meet).state.entries[1].sheets
    assert not [path for path in book.folder.rglob("*") if path.is_file() and "photos" in str(path)]


def test_the_name_of_a_file_leads_nowhere(
    client: CheckedClient, book: BenchBook, tmp_path: Path
) -> None:
    meet = open_meet(book, 4, drawn=False)
    sent = {"photo": ("../../../evil.html", small_png(), "text/html")}
    answer = client.post(f"/meets/{meet}/scrutiny/1", data=SIGNED, files=sent)
    assert answer.status_code == 303
    assert not [path for path in tmp_path.rglob("*") if "evil" in path.name]
    sha256 = read_meet(book, meet).state.entries[1].sheets[0].photo_sha256
    photo = client.get(f"/photos/{sha256}")
    assert photo.headers["content-type"].startswith("image/")
    assert photo.headers["x-content-type-options"] == "nosniff"
