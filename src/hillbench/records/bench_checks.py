"""What must hold inside an exported bench beyond the form of its JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from hillbench.coasting.car import CAR_RANGES
from hillbench.coasting.track import check_track
from hillbench.errors import InvalidInput, Problem
from hillbench.records.bench_file import BenchFile, Forecast, Outing, TimedRun
from hillbench.records.bench_test_checks import bench_test_notes, check_bench_tests
from hillbench.records.document import Named
from hillbench.records.file_build import check_builds
from hillbench.records.file_decals import check_decals
from hillbench.records.file_drawer import check_drawer
from hillbench.records.file_meet import check_meets
from hillbench.records.names import clean_name, clean_note
from hillbench.records.quantities import check_range, check_reading
from hillbench.records.track_geometry import track_from_geometry


def check_bench(bench: BenchFile) -> Iterator[Problem]:
    """Yield what the app would not have let anyone enter, and references that miss."""
    yield from _check_texts(bench)
    yield from _check_values(bench)
    yield from _check_versions(bench)
    yield from check_bench_tests(bench)
    yield from check_decals(bench.decal_panels, bench.decal_art, bench.liveries)
    yield from check_drawer(bench.drawer_items, bench.stock_moves)
    items = {item.id for item in bench.drawer_items}
    yield from check_builds(bench.builds, bench.build_steps, bench.build_templates, items)
    yield from check_meets(bench.race_classes, bench.meets, bench.meet_events)


def _check_texts(bench: BenchFile) -> Iterator[Problem]:
    named: dict[str, Sequence[Named]] = {
        "castings": bench.castings,
        "cars": bench.cars,
        "tracks": bench.tracks,
        "drawer_items": bench.drawer_items,
        "build_templates": bench.build_templates,
        "decal_art": bench.decal_art,
        "liveries": bench.liveries,
        "race_classes": bench.race_classes,
        "seasons": bench.seasons,
        "meets": bench.meets,
    }
    for part, things in named.items():
        for index, thing in enumerate(things):
            yield from _check_text(clean_name, thing.name, f"{part}[{index}].name")
            yield from _check_text(clean_note, thing.note, f"{part}[{index}].note")
    notes = {
        "weighings": [weighing.note for weighing in bench.weighings],
        "readings": [reading.note for reading in bench.readings],
        "photos": [photo.caption for photo in bench.photos],
        "outings": [outing.note for outing in bench.outings],
        "forecasts.change_name": [forecast.change_name for forecast in bench.forecasts],
        **bench_test_notes(bench),
        "outings.lubricant_note": [outing.lubricant_note for outing in bench.outings],
    }
    for part, texts in notes.items():
        for index, text in enumerate(texts):
            yield from _check_text(clean_note, text, f"{part}[{index}]")


def _check_text(clean: Callable[[str, str], str], text: str, where: str) -> Iterator[Problem]:
    try:
        same = clean(text, where) == text
    except InvalidInput as error:
        yield from error.problems
        return
    if not same:
        yield Problem(where, repr(text), "text without blanks around it, in composed Unicode")


def _check_values(bench: BenchFile) -> Iterator[Problem]:
    for index, weighing in enumerate(bench.weighings):
        for reading_g in weighing.readings_g:
            where = f"weighings[{index}].readings_g"
            yield from check_range(where, reading_g, CAR_RANGES["mass_g"])
    for reading in bench.readings:
        yield from check_reading(reading.quantity, reading.value)
    for version in bench.track_versions:
        yield from check_track(track_from_geometry(version.geometry.model_dump()))


def _check_versions(bench: BenchFile) -> Iterator[Problem]:
    track_of = {version.id: version.track_id for version in bench.track_versions}
    with_version = set(track_of.values())
    for index, track in enumerate(bench.tracks):
        if track.id not in with_version:
            yield Problem(f"tracks[{index}]", "without a version", "one version or more")
    for index, outing in enumerate(bench.outings):
        yield from _check_version(f"outings[{index}]", outing, track_of)
    for index, forecast in enumerate(bench.forecasts):
        yield from _check_version(f"forecasts[{index}]", forecast, track_of)
        yield from _check_forecast(f"forecasts[{index}]", forecast)
    outings = {outing.id: outing for outing in bench.outings}
    for index, run in enumerate(bench.timed_runs):
        where = f"timed_runs[{index}]"
        yield from _check_version(where, run, track_of)
        yield from _check_run(where, run, outings)


def _check_forecast(where: str, one: Forecast) -> Iterator[Problem]:
    if not one.gain_low_s <= one.gain_s <= one.gain_high_s:
        seen = f"{one.gain_s:g} s outside its interval"
        yield Problem(f"{where}.gain_s", seen, f"{one.gain_low_s:g} to {one.gain_high_s:g} s")
    yield from check_range(f"{where}.time_s", one.time_s, (0.01, 3600.0, "s"))
    if one.done_at is not None and one.done_at < one.made_at:
        yield Problem(f"{where}.done_at", f"{one.done_at:%Y-%m-%d %H:%M}", "after made_at")


def _check_version(
    where: str, one: TimedRun | Outing | Forecast, track_of: dict[int, int]
) -> Iterator[Problem]:
    if track_of.get(one.track_version_id) != one.track_id:
        allowed = f"a version of track {one.track_id}"
        yield Problem(f"{where}.track_version_id", str(one.track_version_id), allowed)


def _check_run(where: str, run: TimedRun, outings: dict[int, Outing]) -> Iterator[Problem]:
    if run.outing_id is not None:
        outing = outings.get(run.outing_id)
        if outing is None or outing.track_id != run.track_id or run.number is None:
            allowed = f"an outing on track {run.track_id}, with the number of the run in it"
            yield Problem(f"{where}.outing_id", str(run.outing_id), allowed)
    if run.finish_time_s is not None:
        yield from check_range(f"{where}.finish_time_s", run.finish_time_s, (0.01, 3600.0, "s"))
