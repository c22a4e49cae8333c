from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium
import pytest
from PIL import Image

from hillbench.cli.main import main

SHEET: dict[str, Any] = {
    "title": "Larch 27",
    "items": [
        {
            "name": "number",
            "text": "27",
            "height_mm": 7,
            "places": [
                {"panel": "left door", "x_mm": 6, "y_mm": 6.5},
                {"panel": "bonnet", "x_mm": 11, "y_mm": 9, "height_mm": 9},
            ],
            "spares": 1,
        },
        {"name": "star", "art": "star.svg", "height_mm": 8, "count": 2},
    ],
    "panels": [
        {
            "name": "left door",
            "role": "left door",
            "width_mm": 22,
            "height_mm": 13,
            "paint": "#ffe000",
        },
        {"name": "bonnet", "role": "bonnet", "width_mm": 22, "height_mm": 18, "paint": "#101820"},
    ],
    "sheet": {"width_mm": 148, "height_mm": 105},
    "gap_mm": 0.5,
    "corner_radius_mm": 0.5,
    "film": "clear",
}
STAR = (
    '<svg xmlns="http://www.w3.org/2000/svg">'
    '<path fill="#e3c653" d="M5 0l2 4 3 1-3 1-2 4-2-4-3-1 3-1z"/></svg>'
)
KEYS = {"sheets", "placements", "used_fraction", "items", "bound", "proven", "steps"}
ITEM_KEYS = {"fits", "contrast_ratio", "delta_e_2000", "advice"}


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    status = main(["decals", *(str(word) for word in words)])
    told = capsys.readouterr()
    return status, told.out, told.err


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "larch.json"
    path.write_text(json.dumps(SHEET), encoding="utf-8")
    (tmp_path / "star.svg").write_text(STAR, encoding="utf-8")
    return path


def test_answer_has_the_keys_of_the_format(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, file, "--json")
    answer = json.loads(out)
    assert (status, err) == (0, "")
    assert set(answer) >= KEYS
    assert (answer["sheets"], answer["bound"], answer["proven"]) == (1, 1, True)
    assert len(answer["placements"]) == 2 + 2 + 2  # two places, a spare of each size, two stars
    assert 0.0 < answer["used_fraction"] < 1.0
    assert all(set(one) >= ITEM_KEYS for one in answer["items"])
    by_panel = {(one["name"], one["panel"]): one for one in answer["items"]}
    door, bonnet = by_panel["number", "left door"], by_panel["number", "bonnet"]
    # Black (#111111) through clear film on yellow reads; on nearly black paint it sinks.
    assert door["fits"]
    assert door["contrast_ratio"] > 10.0
    assert door["advice"] == "Fits, shows and reads."
    assert bonnet["contrast_ratio"] < 1.5
    assert "white film or white ink below" in bonnet["advice"]
    assert by_panel["star", "bonnet"]["letter_height_mm"] is None


def test_files_are_written(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pdf, svg, dxf = (tmp_path / name for name in ("s.pdf", "s.svg", "c.dxf"))
    status, out, _ = run(capsys, file, "--out", pdf, "--cut", dxf)
    assert status == 0
    assert "6 pieces: 1 sheet is the least; " in out
    assert "Print at 100 %, do not fit to page." in out
    with pdfium.PdfDocument(pdf.read_bytes()) as document:
        text = document[0].get_textpage().get_text_range()
        assert "Print at 100 %, do not fit to page." in text
        assert "Larch 27. Sheet 1 of 1." in text
    assert dxf.read_text(encoding="utf-8").count("LWPOLYLINE") == 6
    assert run(capsys, file, "--out", svg)[0] == 0
    pages = [tmp_path / f"s-{number}.svg" for number in (1, 2)]
    assert all(page.read_text(encoding="utf-8").startswith("<svg") for page in pages)
    before = pdf.read_bytes()
    assert run(capsys, file, "--out", pdf)[0] == 0
    assert pdf.read_bytes() == before


def test_a_changed_sheet_of_the_same_size_is_written_too(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "s.svg"
    question = SHEET | {"items": [{"name": "n", "text": "6"}], "mirrored_page": False}
    for colour in ("#111111", "#222222"):
        question["items"][0]["colour"] = colour
        file.write_text(json.dumps(question), encoding="utf-8")
        assert run(capsys, file, "--out", out)[0] == 0
        assert colour in (tmp_path / "s-1.svg").read_text(encoding="utf-8")


def test_coarse_pictures_are_told(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Image.new("RGB", (40, 40), "#112233").save(tmp_path / "coarse.png")
    question = SHEET | {"items": [{"name": "p", "art": "coarse.png", "height_mm": 10}]}
    file.write_text(json.dumps(question), encoding="utf-8")
    out = json.loads(run(capsys, file, "--json")[1])
    assert out["items"][0]["dots_per_inch"] == pytest.approx(101.6)
    assert "102 dots per inch at this size" in out["items"][0]["advice"]


def item(**change: object) -> dict[str, object]:
    return {"items": [{"name": "n", "text": "27"} | change]}


@pytest.mark.parametrize(
    ("change", "words", "sentence"),
    [
        (item(text="7777777777777777", height_mm=30), [], "items[0] is"),
        (item(text="漢"), [], "the face narrow does not have"),
        (item(colour="300 0 0"), [], "out of gamut"),
        (item(count=400, height_mm=20) | {"most_sheets": 1}, [], "make fewer, or take more paper"),
        (item(text=None, art="../../etc/passwd"), [], "a file beside the question"),
        (item(text=None, art="gone.svg"), [], "which is not there"),
        ({"items": []}, [], "items is empty"),
        ({"panels": [{"name": "x", "role": "roof", "width_mm": 0, "height_mm": 3}]}, [], "0 mm"),
        ({"film": "foil"}, [], "film is 'foil'; allowed is one of: clear, white"),
        ({"films": "clear"}, [], "did you mean film?"),
        ({"sheet": {"width_mm": 60, "height_mm": 90}}, [], "for the 100 mm bar"),
        ({"turns": "any way"}, [], "turns is 'any way'"),
        ({"viewing": {"distance_mm": 0}}, [], "viewing.distance_mm is 0 mm"),
        ({"gap_mm": -1}, [], "gap_mm is -1 mm"),
        ({}, ["--out", "sheet.docx"], "a name that ends in .pdf or .svg"),
        ({}, ["--cut", "cut.pdf"], "a name that ends in .dxf or .svg"),
    ],
)
def test_bad_input(
    file: Path,
    capsys: pytest.CaptureFixture[str],
    change: dict[str, object],
    words: list[str],
    sentence: str,
) -> None:
    file.write_text(json.dumps(SHEET | change), encoding="utf-8")
    status, out, err = run(capsys, file, *words)
    assert (status, out) == (2, "")
    assert sentence in err
    assert err.count("\n") == 1


def test_text_wider_than_any_panel_says_how_large_it_may_be(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file.write_text(json.dumps(SHEET | item(text="LARCH LANE", height_mm=7)), encoding="utf-8")
    answer = json.loads(run(capsys, file, "--json")[1])["items"][0]
    assert not answer["fits"]
    assert answer["advice"].startswith("It is larger than any panel; at most ")
    assert 1.0 < answer["most_height_mm"] < 7.0
    again = SHEET | item(text="LARCH LANE", height_mm=answer["most_height_mm"] * 0.995)
    file.write_text(json.dumps(again), encoding="utf-8")
    assert json.loads(run(capsys, file, "--json")[1])["items"][0]["fits"]
