"""Measured runs: which car is faster, did a change help, how many more runs.

The way in, in the order of use:

- `reading.read_runs` makes `run.TimedRun` from a table, and lists what is wrong with its rows;
  `time_text.parse_time` reads one time; `source.TimeSource` is what any other timer offers;
- `run_order.run_order` says whose turn it is;
- `compare.compare` answers for two or more cars with a `comparison.Comparison`: gaps, odds,
  verdict, runs still needed, odd runs; `history.spread_from_history` brings earlier runs in;
- `gain.measure_gain` answers for a change on one car with a `gain.Gain`;
- `stopping` holds the rule: `decide`, `pairs_still_needed`, `runs_to_see`;
- `summary` has repeatability and the best time to expect, `keep_fastest` what choosing among
  samples is worth, `textbook` the classical tests beside the model.

Beneath these, `prior`, `design`, `sampler`, `bad_runs` and `posterior` are the model.

Notes
-----
Times are seconds. Randomness comes in as a `numpy.random.Generator`; nothing here knows the
clock, storage or the web. Derivation, constants and trials: ``docs/theory/timing.md``.
"""
