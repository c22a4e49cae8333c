"""Ballast: pieces, cavity, plan, solver, explanation, independent check.

Pure: no storage, web or clock; deadlines and cancelling are passed in. The solver library is
imported where a search starts, since its import takes about a second.
"""
