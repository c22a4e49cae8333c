"""Photos are told by their content, shown upright and without what the camera noted."""

from __future__ import annotations

import errno
import hashlib
import io
import os
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from hillbench.errors import InvalidInput
from hillbench.records.photo_files import (
    COPY_SIZES_PX,
    LARGEST_BYTES,
    photo_path,
    store_photo_file,
)

ORIENTATION = 0x0112  # Exif 2.32 (CIPA DC-008), tag Orientation; 6: turn by 90° clockwise
GPS = 0x8825  # the same, pointer to the place


def picture(kind: str, size: tuple[int, int] = (1600, 1200), mode: str = "RGB") -> bytes:
    """A picture whose left half is red and whose right half is blue."""
    image = Image.new(mode, size, "blue")
    image.paste("red", (0, 0, size[0] // 2, size[1]))
    content = io.BytesIO()
    image.save(content, kind)
    return content.getvalue()


def camera_picture() -> bytes:
    image = Image.open(io.BytesIO(picture("JPEG")))
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif.get_ifd(GPS)[1] = "N"
    content = io.BytesIO()
    image.save(content, "JPEG", exif=exif)
    assert b"Exif" in content.getvalue()
    return content.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_file_is_kept_as_given_with_copies(tmp_path: Path, kind: str) -> None:
    content = picture(kind)
    file = store_photo_file(tmp_path, content)
    assert file.sha256 == hashlib.sha256(content).hexdigest()
    assert (file.media_type, file.width_px, file.height_px) == (f"image/{kind.lower()}", 1600, 1200)
    assert photo_path(tmp_path, file.sha256).read_bytes() == content
    for size in COPY_SIZES_PX:
        with Image.open(photo_path(tmp_path, file.sha256, size)) as copy:
            assert copy.format == "WEBP"
            assert copy.size == (size, size * 3 // 4)
    kept = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert len(kept) == 3
    assert store_photo_file(tmp_path, content) == file  # again: nothing more is kept
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == kept


def test_copies_are_upright_and_tell_nothing_of_the_place(tmp_path: Path) -> None:
    file = store_photo_file(tmp_path, camera_picture())
    assert (file.width_px, file.height_px) == (1200, 1600)
    with Image.open(photo_path(tmp_path, file.sha256, 320)) as copy:
        assert copy.size == (240, 320)
        assert dict(copy.getexif()) == {}
        top, bottom = copy.getpixel((120, 10)), copy.getpixel((120, 310))
    assert isinstance(top, tuple)
    assert isinstance(bottom, tuple)
    assert top[0] > 150 + top[2]  # red: the left side, turned clockwise, is at the top
    assert bottom[2] > 150 + bottom[0]


def test_small_picture_is_not_blown_up_and_stays_transparent(tmp_path: Path) -> None:
    image = Image.new("RGBA", (40, 30), (255, 0, 0, 0))
    content = io.BytesIO()
    image.save(content, "PNG")
    file = store_photo_file(tmp_path, content.getvalue())
    with Image.open(photo_path(tmp_path, file.sha256, 1280)) as copy:
        assert (copy.size, copy.mode) == ((40, 30), "RGBA")


def bomb() -> bytes:
    """A PNG of few bytes that says it is 50,000 pixels square (PNG specification, 11.2)."""
    head = struct.pack(">IIBBBBB", 50_000, 50_000, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\x00"))


def chunk(kind: bytes, content: bytes) -> bytes:
    check = struct.pack(">I", zlib.crc32(kind + content))
    return struct.pack(">I", len(content)) + kind + content + check


def large_but_flat() -> bytes:
    content = io.BytesIO()
    Image.new("1", (9000, 9000)).save(content, "PNG")
    return content.getvalue()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "no picture"),
        (b"GIF89a" + b"\x00" * 100, "no picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", "no picture"),
        (b"\xff\xd8\xff\xe0 not really a JPEG", "no picture"),
        (picture("JPEG")[:3000], "no picture"),
        (picture("PNG")[:-200], "no picture"),
        (picture("WEBP")[:200], "no picture"),
        (picture("BMP", (10, 10)), "no picture"),
        (bomb(), "far too many pixels"),
        (large_but_flat(), "9000 × 9000 pixels"),
        (picture("JPEG") + b"\x00" * LARGEST_BYTES, r"20\.\d MB large"),
    ],
    ids=lambda value: value if isinstance(value, str) else f"{len(value)} bytes",
)
def test_photo_that_will_not_do(tmp_path: Path, content: bytes, told: str) -> None:
    with pytest.raises(InvalidInput, match=rf"photo is .*{told}.*JPEG, PNG or WebP.*20 MB"):
        store_photo_file(tmp_path, content)
    assert list(tmp_path.iterdir()) == []


def test_disk_full_leaves_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        store_photo_file(tmp_path, picture("JPEG"))
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize("name", ["../../etc/passwd", "A" * 64, "0" * 63, ""])
def test_no_path_is_made_of_anything_but_a_checksum(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="no SHA-256"):
        photo_path(tmp_path, name)
