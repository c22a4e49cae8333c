"""Loss coefficients from measured runs, and forecasts of a change.

Notes
-----
Every unknown has a prior and is worked with as a score z that is standard normal before any
reading; the model, its priors and its limits stand in ``docs/theory/fitting.md``.
"""
