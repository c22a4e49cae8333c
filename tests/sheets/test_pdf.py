from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image, ImageCms

from hillbench.errors import InvalidInput
from hillbench.sheets import path
from hillbench.sheets.colour import CUT, Rgb, Spot
from hillbench.sheets.drawing import (
    CUT as CUT_LAYER,
)
from hillbench.sheets.drawing import (
    PRINT,
    Drawing,
    Group,
    Layer,
    Mark,
    Page,
    Photo,
    Shape,
    Stroke,
    Words,
    one_page,
)
from hillbench.sheets.font import find_face
from hillbench.sheets.page import A4, LETTER, PageSize, find_page_size
from hillbench.sheets.path import Transform
from hillbench.sheets.pdf_finish import srgb_profile
from hillbench.sheets.pdf_writer import write_pdf
from tests.sheets.pdf_reading import bitmap, opened, text

RED, GREEN = Rgb.parse("#c02030"), Rgb.parse("#0f6a5b")
SMALL = PageSize("card", 60.0, 40.0)


def picture(*marks: Mark) -> bytes:
    return write_pdf(one_page("card", SMALL, marks))


def seen(data: bytes, x_mm: float, y_mm: float) -> tuple[int, ...]:
    """Return the colour at a place, from a bitmap of 10 dots a mm."""
    return tuple(bitmap(data, 254.0)[round(y_mm * 10), round(x_mm * 10)].tolist())


def png(colour: tuple[int, int, int, int]) -> bytes:
    raw = BytesIO()
    Image.new("RGBA", (8, 8), colour).save(raw, "PNG")
    return raw.getvalue()


def test_the_same_drawing_gives_the_same_bytes() -> None:
    marks = (Words(5, 10, "2.50 g", 4), Shape(path.circle(30, 20, 5), fill=RED))
    assert picture(*marks) == picture(*marks)


def test_colours_come_out_as_given() -> None:
    data = picture(Shape(path.rectangle(10, 10, 20, 10), fill=GREEN))
    assert seen(data, 20, 15) == (0x0F, 0x6A, 0x5B)
    assert seen(data, 40, 15) == (255, 255, 255)


def test_fill_rules_decide_what_is_a_hole() -> None:
    rings = path.circle(20, 20, 15) + path.circle(20, 20, 5)
    assert seen(picture(Shape(rings, fill=RED, rule="evenodd")), 20, 20) == (255, 255, 255)
    assert seen(picture(Shape(rings, fill=RED, rule="nonzero")), 20, 20) == (0xC0, 0x20, 0x30)


def test_opacity_lets_the_paper_through() -> None:
    data = picture(Shape(path.rectangle(0, 0, 60, 40), fill=Rgb(0, 0, 0), opacity=0.4))
    assert seen(data, 30, 20) == pytest.approx((153, 153, 153), abs=1)


def test_a_photo_keeps_its_transparency_and_stands_upright() -> None:
    raw = BytesIO()
    image = Image.new("RGBA", (2, 2), (0, 0, 0, 0))
    image.putpixel((0, 0), (255, 0, 0, 255))
    image.save(raw, "PNG")
    data = picture(
        Shape(path.rectangle(0, 0, 60, 40), fill=GREEN), Photo(raw.getvalue(), 10, 10, 20, 20)
    )
    assert seen(data, 13, 13) == (255, 0, 0)
    assert seen(data, 27, 27) == (0x0F, 0x6A, 0x5B)


def test_half_transparent_pixels_mix() -> None:
    data = picture(Photo(png((255, 0, 0, 128)), 10, 10, 20, 20))
    assert seen(data, 20, 20) == pytest.approx((255, 127, 127), abs=1)


def test_groups_turn_scale_and_clip() -> None:
    inner = Shape(path.rectangle(0, 0, 10, 2), fill=RED)
    turned = Transform.turn(90.0).then(Transform.scale(2.0)).then(Transform.shift(30, 5))
    data = picture(Group((inner,), turned, clip=path.rectangle(0, 0, 5, 5)))
    # 10 × 2 mm, turned clockwise, stands 20 mm tall to the left of x = 30; half is cut off.
    assert seen(data, 28, 10) == (0xC0, 0x20, 0x30)
    assert seen(data, 28, 20) == (255, 255, 255)
    assert seen(data, 32, 10) == (255, 255, 255)


def test_words_can_be_read_back_and_stand_where_they_should() -> None:
    data = picture(Words(30, 20, "Größe 3,5 mm ≤ ½″ − Ж", 5, "bold", RED, "middle"))
    assert text(data).strip() == "Größe 3,5 mm ≤ ½″ − Ж"
    rows, columns = np.nonzero(bitmap(data, 254.0).sum(axis=2) < 500)
    assert (columns.min() + columns.max()) / 2 == pytest.approx(300, abs=8)
    assert rows.max() == pytest.approx(200 + 50 * 0.2, abs=12)


def test_many_letters_fit_into_one_document() -> None:
    every = "".join(map(chr, sorted(find_face("regular").advances)[2:700]))
    every = "".join(one for one in every if one.isprintable() and not one.isspace())
    lines = [every[start : start + 60] for start in range(0, len(every), 60)]
    marks = tuple(Words(2, 3 + 3 * row, line, 1.5) for row, line in enumerate(lines))
    found = text(picture(*marks))
    assert sum(letter in found for letter in set(every)) > 0.98 * len(set(every))


def test_layers_can_be_switched() -> None:
    line = Shape(path.rectangle(5, 5, 50, 30), stroke=Stroke(CUT, 0.5))
    guide = Layer("guide", (Words(5, 5, "fold", 3),), printed=False)
    pages = tuple(
        Page(SMALL, (Layer(PRINT, (Words(9, 9, "A", 5),)), Layer(CUT_LAYER, (line,)), guide))
        for _ in range(2)
    )
    data = write_pdf(Drawing("layers", pages))
    with opened(data) as pdf:
        groups = pdf.Root.OCProperties.OCGs
        assert [str(group.Name) for group in groups] == ["print", "cut", "guide"]
        states = [str(group.Usage.Print.PrintState) for group in groups]
        assert states == ["/ON", "/ON", "/OFF"]
        assert len(pdf.pages) == 2
        for page in pdf.pages:
            used = [str(form.OC.Name) for _, form in sorted(page.resources.XObject.items())]
            assert used == ["print", "cut", "guide"]


def test_a_single_layer_needs_no_switch() -> None:
    with opened(picture(Words(5, 5, "A", 3))) as pdf:
        assert "/OCProperties" not in pdf.Root


def test_a_spot_colour_keeps_its_name() -> None:
    with opened(picture(Shape(path.circle(20, 20, 9), stroke=Stroke(Spot("Knife", RED))))) as pdf:
        form = pdf.pages[0].resources.XObject["/Layer1"]
        spaces = [space for space in form.Resources.ColorSpace.values() if len(space) == 4]
        assert [(str(one[0]), str(one[1])) for one in spaces] == [("/Separation", "/Knife")]


def test_colours_are_bound_to_srgb() -> None:
    with opened(picture(Shape(path.circle(20, 20, 9), fill=RED))) as pdf:
        intent = pdf.Root.OutputIntents[0]
        profile = bytes(intent.DestOutputProfile.read_bytes())
        assert profile == srgb_profile()
        form = pdf.pages[0].resources.XObject["/Layer1"]
        assert str(form.Resources.ColorSpace.DefaultRGB[0]) == "/ICCBased"
    name = ImageCms.getProfileName(ImageCms.ImageCmsProfile(BytesIO(profile)))
    assert "sRGB" in name


def test_viewers_are_asked_not_to_scale() -> None:
    with opened(picture(Words(5, 5, "A", 3))) as pdf:
        assert str(pdf.Root.ViewerPreferences.PrintScaling) == "/None"
        assert str(pdf.docinfo.Title) == "card"


def test_an_empty_page_is_a_page() -> None:
    with opened(write_pdf(Drawing("empty", (Page(A4, ()), Page(LETTER, ()))))) as pdf:
        assert [round(float(page.mediabox[2])) for page in pdf.pages] == [595, 612]


@pytest.mark.parametrize("side", [0.0, -1.0, 1e6, float("nan")])
def test_paper_has_a_size(side: float) -> None:
    with pytest.raises(InvalidInput, match="page"):
        PageSize("odd", 100.0, side)


def test_paper_by_name() -> None:
    assert find_page_size(" letter") is LETTER
    with pytest.raises(InvalidInput, match="A4, Letter"):
        find_page_size("A3")
