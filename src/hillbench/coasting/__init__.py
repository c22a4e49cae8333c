"""Physics of one run: a car coasting down a track.

Notes
-----
The state is energy along the arc length of the track; derivation, symbols and references
stand in ``docs/theory/coasting.md``.
"""
