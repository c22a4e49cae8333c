"""Screws in posts: threads, drills, strength, depth, torque, and what they do to a base.

Notes
-----
Symbols, formulas and references stand in ``docs/theory/fastening.md``; standard values stand
in the CSV tables under ``data``, each row with its source and edition.
"""
