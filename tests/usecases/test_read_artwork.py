"""Pictures of pixels from anywhere: bounded, told, never trusted."""

from __future__ import annotations

import io
import math
import struct
import tracemalloc
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms, ImageDraw
from shapely import Point

from hillbench.decals.artwork import mapped
from hillbench.errors import InvalidInput
from hillbench.usecases.decal_documents import art_document, read_art
from hillbench.usecases.keep_art import shown_file_name
from hillbench.usecases.read_artwork import KEPT_PX, read_artwork


def png(image: Image.Image, **more: object) -> bytes:
    content = io.BytesIO()
    image.save(content, "PNG", **more)
    return content.getvalue()


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def raw_png(width: int, height: int, depth: int, kind: int, rows: bytes) -> bytes:
    """Return a PNG by its specification, whatever a library would write."""
    head = struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def test_resolution_at_the_printed_size() -> None:
    """300 px over 25.4 mm are 300 dots per inch; twice as large it has half of that."""
    art = read_artwork(png(Image.new("RGB", (300, 150), "#c8102e")))
    sized = mapped(art, 25.4 / 20.0, 0.0, 0.0)
    assert art.bounds_mm() == pytest.approx((0.0, 0.0, 20.0, 10.0))
    assert sized.pixels is not None
    assert sized.pixels.dots_per_inch == pytest.approx(300.0)
    assert sized.pixels.mean.code == "#c8102e"
    twice = mapped(sized, 2.0, 0.0, 0.0).pixels
    assert twice is not None
    assert twice.dots_per_inch == pytest.approx(150.0)


def test_clear_parts_do_not_count_in_the_mean() -> None:
    image = Image.new("RGBA", (10, 10), (0, 0, 0, 0))
    image.paste((0, 0, 255, 255), (0, 0, 5, 10))
    pixels = read_artwork(png(image)).pixels
    assert pixels is not None
    assert pixels.mean.code == "#0000ff"
    assert Image.open(io.BytesIO(pixels.png)).mode == "RGBA"


def test_large_pictures_are_made_smaller() -> None:
    image = Image.new("RGB", (5000, 2500), "white")
    content = io.BytesIO()
    image.save(content, "JPEG")
    pixels = read_artwork(content.getvalue()).pixels
    assert pixels is not None
    assert (pixels.width_px, pixels.height_px) == (KEPT_PX, KEPT_PX // 2)


def test_another_profile_is_brought_to_srgb() -> None:
    """XYZ of a linear profile: a picture with a gamma of 1 gets brighter codes in sRGB."""
    grey = Image.new("RGB", (4, 4), (55, 55, 55))
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    same = read_artwork(png(grey, icc_profile=lab)).pixels
    assert same is not None
    seen = np.asarray(Image.open(io.BytesIO(same.png)))
    assert np.abs(seen.astype(int) - 55).max() <= 1
    assert "icc_profile" not in Image.open(io.BytesIO(same.png)).info


def test_metadata_is_thrown_away() -> None:
    image = Image.new("RGB", (4, 4), "white")
    exif = image.getexif()
    exif[0x010E] = "at home"
    pixels = read_artwork(png(image, exif=exif)).pixels
    assert pixels is not None
    assert b"at home" not in pixels.png


CMYK = io.BytesIO()
Image.new("CMYK", (8, 8)).save(CMYK, "JPEG")
GREY_16 = io.BytesIO()
Image.fromarray(np.zeros((4, 4), dtype=np.uint16)).save(GREY_16, "PNG")
HUGE = raw_png(20_000, 10_000, 8, 2, b"")
"""200 megapixels declared in a hundred bytes."""


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (HUGE, "pixels large"),
        (raw_png(100_000, 100_000, 1, 0, b""), "pixels large"),
        (CMYK.getvalue(), "a CMYK picture"),
        (GREY_16.getvalue(), "a picture of 16 bits a channel"),
        (raw_png(2, 1, 16, 2, b"\0" + b"\0" * 12), "a picture of 16 bits a channel"),
        (png(Image.new("RGB", (8, 8)))[:-22], "no picture that can be read"),
        (b"\x89PNG\r\n\x1a\n", "no picture that can be read"),
        (b"GIF89a" + b"\0" * 20, "a file of another kind"),
        (b"%PDF-1.7", "a file of another kind"),
        (b"", "a file of another kind"),
        (b"\xff\xd8\xff" + b"x" * 20_000_001, "20.0 MB large"),
    ],
)
def test_pictures_that_will_not_do(content: bytes, told: str) -> None:
    tracemalloc.start()
    with pytest.raises(InvalidInput) as wrong:
        read_artwork(content, "logo.png")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert told in wrong.value.problems[0].sentence()
    assert wrong.value.problems[0].sentence().startswith("logo.png is ")
    assert peak < 40_000_000


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        ("star.svg", "star"),
        ("../../etc/passwd", "passwd"),
        ("C:\\temp\\evil.png", "evil"),
        ("<script>alert(1)</script>.png", "script"),
        ("a" * 500 + ".png", "a" * 60),
        ("\u202egnp.exe", "gnp"),
        ("", "Art"),
        (".png", "png"),
    ],
)
def test_names_of_uploaded_files_are_only_shown(given: str, shown: str) -> None:
    assert shown_file_name(given) == shown


def test_the_outline_of_a_clear_picture_is_what_is_seen_of_it() -> None:
    """A disc of 200 px on 400 px clear: a quarter of the box times π/4, grown by a cell."""
    image = Image.new("RGBA", (400, 400), (0, 0, 0, 0))
    ImageDraw.Draw(image).ellipse((100, 100, 300, 300), fill=(200, 0, 0, 255))
    art = read_artwork(png(image))
    shape = art.silhouette()
    cell_mm = 2 * 10.0 / 400
    assert math.pi * 2.47**2 <= shape.area <= math.pi * (2.5 + 1.5 * cell_mm) ** 2
    assert shape.contains(Point(5.0, 5.0).buffer(2.47))
    again = read_art(art_document(art))
    assert again.silhouette().symmetric_difference(shape).area < 1e-3
    half = mapped(art, 0.5, 1.0, 2.0, flip=True).silhouette()
    assert half.area == pytest.approx(shape.area / 4.0)
    assert read_artwork(png(Image.new("RGBA", (9, 9), (1, 2, 3, 255)))).pixels is not None
