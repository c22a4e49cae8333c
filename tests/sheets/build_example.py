"""An invented build, with as much on its sheet as a busy builder will have."""

from __future__ import annotations

from functools import cache
from io import BytesIO

from PIL import Image

from hillbench.pictures import drawing
from hillbench.sheets.build_content import BuildContent, Interval, SheetPhoto, TrackTimes
from hillbench.sheets.flow import Row
from hillbench.sheets.page_frame import Link

LINK = Link("http://192.168.1.23:8064/builds/7")


@cache
def photo() -> SheetPhoto:
    raw = BytesIO()
    Image.linear_gradient("L").resize((600, 400)).convert("RGB").save(raw, "JPEG")
    return SheetPhoto(raw.getvalue(), 600, 400, "Ready for the hill")


def picture() -> str:
    marks = [
        drawing.box(10, 30, 300, 90, "hill"),
        drawing.box(60, 50, 90, 40, "gained"),
        drawing.words(105, 75, "1", anchor="middle"),
        drawing.words(10, 20, "From above, layer 1", "words-strong"),
    ]
    return drawing.picture("b", "Ballast", "Where it sits", (350, 140), marks)


def rows(*pairs: tuple[str, str]) -> tuple[Row, ...]:
    return tuple(Row(label, value, strong=label == "finished") for label, value in pairs)


def content(parts: int = 6) -> BuildContent:
    before, after = Interval(10.214, 10.171, 10.262, 8), Interval(10.071, 10.043, 10.102, 9)
    return BuildContent(
        title="Winter rebuild of the Heron",
        car="Heron, on the casting Marsh Coupé",
        lines=("Finished 14 Mar 2026, for the class Valley 57 g",),
        sentence="0.14 s faster on Kestrel Hill, sure by 98 %.",
        photo=photo(),
        times=(
            TrackTimes("Kestrel Hill", before, after, "0.143 s faster (0.09 to 0.20)."),
            TrackTimes("Back stairs", None, Interval(6.9, 6.85, 6.96, 3)),
        ),
        masses=rows(
            ("bare", "36.92 ± 0.03 g"),
            ("drilled from the posts", "−0.21 g"),
            ("interior trimmed", "−1.48 g"),
            ("3 × lead quarter ounce", "+21.26 g"),
            ("finished", "56.87 ± 0.05 g"),
        ),
        balance=rows(("CG ahead of rear axle", "19.4 mm, 45 %"), ("CG height", "8.7 mm")),
        fasteners=rows(("rear post", "2-56 × 1/4 in, #50, 8.3 mm deep, at most 170 N mm")),
        lubrication=rows(("graphite, rounds", "3"), ("bearing friction", "0.21 → 0.14")),
        decals=rows(("sheet", "clear film, 2 coats"), ("number", "41 on both doors")),
        parts=rows(*((f"part {n}", f"{n} pieces") for n in range(1, parts + 1))),
        ballast_picture=picture(),
        ballast_note="Numbers are the building order.",
        notes=("Lead: wash hands, keep from children and food.",),
        link=LINK,
        foot="Hillbench, 14 Mar 2026",
    )
