"""A track's geometry as JSON, in the words of the file format."""

from __future__ import annotations

from typing import Any

from hillbench.coasting.track import Bend, HeightPoint, SlopePoint, Track


def geometry_from_track(track: Track) -> dict[str, Any]:
    """Return a track as a JSON object; what is empty is left out."""
    geometry: dict[str, Any] = {"finish_at_m": track.finish_at_m}
    if track.slope_points:
        geometry["slope_points"] = [
            {"at_m": point.at_m, "slope_deg": point.slope_deg} for point in track.slope_points
        ]
    if track.height_points:
        geometry["height_points"] = [
            {"at_m": point.at_m, "height_m": point.height_m} for point in track.height_points
        ]
    if track.bends:
        geometry["bends"] = [
            {
                "from_m": bend.from_m,
                "to_m": bend.to_m,
                "turn_deg": bend.turn_deg,
                "bank_deg": bend.bank_deg,
            }
            for bend in track.bends
        ]
    if track.gates_at_m:
        geometry["gates_at_m"] = list(track.gates_at_m)
    return geometry


def track_from_geometry(geometry: dict[str, Any]) -> Track:
    """Return the track of a JSON object made by `geometry_from_track`."""
    return Track(
        finish_at_m=geometry["finish_at_m"],
        slope_points=tuple(SlopePoint(**point) for point in geometry.get("slope_points", ())),
        height_points=tuple(HeightPoint(**point) for point in geometry.get("height_points", ())),
        bends=tuple(Bend(**bend) for bend in geometry.get("bends", ())),
        gates_at_m=tuple(geometry.get("gates_at_m", ())),
    )
