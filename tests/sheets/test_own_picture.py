from __future__ import annotations

import pytest

from hillbench.pictures import drawing as pictures
from hillbench.pictures.energy import energy_picture
from hillbench.pictures.profile import profile_picture
from hillbench.pictures.trace import trace_picture
from hillbench.sheets.drawing import Group, Shape, Words, one_page
from hillbench.sheets.font import shown_text
from hillbench.sheets.own_picture import read_picture
from hillbench.sheets.page import PageSize
from hillbench.sheets.pdf_writer import write_pdf
from tests.pictures.reading import read, texts
from tests.pictures.runs import FINISHED, TRACK
from tests.pictures.test_fastening import draw as draw_fastening
from tests.sheets.pdf_reading import bitmap, boxes, text

SQUARE = PageSize("square", 100.0, 100.0)


def own(*, standalone: bool = True) -> str:
    marks = [
        pictures.box(20, 20, 160, 60, "fill-accent"),
        pictures.line((0, 100), (200, 100), "gate"),
        pictures.polyline([(0, 0), (50, 50), (100, 0)], "line"),
        pictures.polygon([(0, 200), (50, 150), (100, 200)], "hill"),
        pictures.dot(150, 150, radius=10.0),
        pictures.group([pictures.words(100, 130, "Nose & tail", "words-strong", anchor="middle")]),
    ]
    return pictures.picture("test", "T", "D", (200, 200), marks, standalone=standalone)


def test_a_picture_stands_where_it_is_put() -> None:
    group = read_picture(own()).fitted(10.0, 20.0, 80.0, 60.0)
    data = write_pdf(one_page("own", SQUARE, (group,)))
    # 200 px on 60 mm, in the middle of 80 mm: left edge at 20 mm, box of 48 × 18 mm.
    left, bottom, right, top = boxes(data)[1]
    assert [v * 25.4 / 72 for v in (left, right)] == pytest.approx([26.0, 74.0], abs=0.01)
    assert [100 - v * 25.4 / 72 for v in (top, bottom)] == pytest.approx([26.0, 44.0], abs=0.01)
    assert "Nose & tail" in text(data)
    assert bitmap(data, 25.4)[35, 50].tolist() == [0x0F, 0x6A, 0x5B]


def test_style_classes_are_the_colours_of_light_paper() -> None:
    alone, in_page = read_picture(own()), read_picture(own(standalone=False))
    assert in_page.marks == alone.marks[1:]  # one that stands alone has its paper behind it


def test_weights_sizes_and_anchors_come_over() -> None:
    picture = read_picture(own())
    group = picture.marks[-1]
    assert isinstance(group, Group)
    (words,) = group.marks
    assert isinstance(words, Words)
    assert (words.text, words.size_mm, words.font, words.anchor) == (
        *("Nose & tail", 14.0, "bold", "middle"),
    )
    dashed = picture.marks[2]
    assert isinstance(dashed, Shape)
    assert dashed.stroke is not None
    assert dashed.stroke.dash_mm == (3.0, 3.0)


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        ("<ellipse rx='3'/>", "<ellipse>"),
        ("<path d='M0 0 A 1 1 0 0 0 2 2'/>", "path command A"),
        ("<image href='x'/>", "<image>"),
        ("<rect class='glitter'/>", "style glitter"),
    ],
)
def test_what_is_not_known_is_refused(inside: str, said: str) -> None:
    svg = f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'>{inside}</svg>"
    with pytest.raises(ValueError, match="sheet cannot draw") as refused:
        read_picture(svg)
    assert said in str(refused.value)


@pytest.mark.parametrize("standalone", [True, False])
def test_pictures_of_the_app_can_be_put_on_a_sheet(standalone: bool) -> None:
    drawn = {
        "profile": profile_picture(TRACK, FINISHED, standalone=standalone),
        "trace": trace_picture(TRACK, FINISHED, standalone=standalone),
        "energy": energy_picture(FINISHED.energy, standalone=standalone),
        "fastening": draw_fastening(),
    }
    for name, svg in drawn.items():
        picture = read_picture(svg)
        data = write_pdf(one_page(name, SQUARE, (picture.fitted(0.0, 0.0, 100.0, 100.0),)))
        said = text(data)
        words = [word for word in texts(read(svg)) if len(word) > 3]
        assert len(words) > 3, name
        for word in words:
            assert shown_text(word.split()[0]) in said, f"{name}: {word}"
        assert "□" not in said
