"""An invented bench for the browser tests: something on every page, long names among it."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta

from PIL import Image, ImageDraw

from hillbench.coasting.track import Bend, SlopePoint, Track
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind
from hillbench.records.photo_store import Subject
from hillbench.records.track_store import TrackState, add_track
from hillbench.usecases.add_photo import add_photo
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.note_run import note_run
from hillbench.usecases.remove_thing import remove_thing
from hillbench.usecases.save_car import save_car
from hillbench.usecases.weigh_car import weigh_car

START = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)

HILL = Track(
    finish_at_m=9.0,
    slope_points=(SlopePoint(0.0, 28.0), SlopePoint(1.5, 12.0), SlopePoint(9.0, 1.5)),
    bends=(Bend(2.0, 3.2, 70.0), Bend(4.5, 6.0, -90.0, 10.0)),
    gates_at_m=(3.0, 6.0),
)


def fill(book: BenchBook) -> None:
    """Put cars, readings, a track and runs into an empty bench book."""
    with book.write() as session:
        state = TrackState(HILL, 0.003, 0.3, 51.0, 80.0, 19.0)
        hill = add_track(session, "Cellar stairs", "Bolted to the banister.", state, START)
    grey = save_car(book, "Marl Coupé", "Grey no. 3", "Came with bent axles.\nTrued.", START)
    plum = save_car(book, "Marl Coupé", "Plum", "", START + timedelta(hours=1))
    save_car(book, "Fenland Estate", "A very long nickname " * 5, "", START + timedelta(hours=2))
    gone = save_car(book, "Fenland Estate", "Lost <b>wheel</b>", "", START)
    remove_thing(book, Kind.CAR, gone.id, START + timedelta(days=1))
    for days, mass in ((1, 36.4), (4, 41.2)):
        at = START + timedelta(days=days)
        weigh_car(book, grey.id, [mass, mass + 0.03, mass + 0.01], 0.01, at, note="with weights")
    weigh_car(book, plum.id, [35.1], 0.1, START + timedelta(days=2))
    measured = {"wheelbase_mm": 41.5, "cg_ahead_of_rear_axle_mm": 17.0, "wheel_diameter_mm": 10.4}
    measure_car(book, grey.id, {"wheelbase_mm": 41.3}, START + timedelta(days=2))
    measure_car(book, grey.id, measured, START + timedelta(days=3), note="calliper")
    for number, time_s in enumerate((6.412, 6.388, None, 6.391)):
        note = "clean" if time_s else "off track"
        note_run(book, hill.id, grey.id, time_s, note, START + timedelta(days=5, minutes=number))
    photo = _picture()
    add_photo(book, Subject(Kind.CAR, grey.id), photo, START + timedelta(days=3), caption="Side")


def _picture() -> bytes:
    picture = Image.new("RGB", (800, 600), "#c9c2b2")
    draw = ImageDraw.Draw(picture)
    draw.rounded_rectangle((140, 260, 660, 400), 40, fill="#6b7780")
    draw.rounded_rectangle((270, 180, 540, 300), 50, fill="#8b969c")
    for left in (200, 500):
        draw.ellipse((left, 350, left + 100, 450), fill="#2a2f33")
    content = io.BytesIO()
    picture.save(content, "JPEG")
    return content.getvalue()
