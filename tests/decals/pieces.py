"""Panels and items that several tests use."""

from __future__ import annotations

from hillbench.decals.panel import KeepOut, Panel

RED = "#c8102e"
DOOR = Panel(
    "left door",
    "left door",
    22.0,
    13.0,
    keep_outs=(KeepOut("handle", (17.0, 20.0), (2.0, 3.0)),),
    paint=RED,
)
RIGHT = Panel("right door", "right door", 22.0, 13.0, paint=RED)
BONNET = Panel("bonnet", "bonnet", 22.0, 18.0, paint=RED, curvature="two ways")
GLASS = Panel("windscreen", "windscreen", 20.0, 7.0, paint="#9fb4bd", glass=True)
PANELS = (DOOR, RIGHT, BONNET, GLASS)
