"""A meet: heats, ladders, results, and what a format can tell.

The way in, in the order of use:

- `study.study_formats` says, for a `field.Field`, what each format would tell;
- `schedule.draw_schedule` draws heats for all lanes, `rebuild.rebuild` the rest of them when
  cars come, go or are missing or a lane is lost; `qualifying.two_run_heats` and
  `qualifying.finalists` serve a timed final;
- `ladder.build_ladder`, `ladder.next_matches` and `ladder.champion` run an elimination;
  `pairs.draw_pairs` lets every pair meet, `pairs.winner_of` decides the best of several races;
- `timed_result.rank_by_time` ranks by times with the odds of each car and the effect of each
  lane, `places.rank_by_place` by places alone, `official.rank_by_rule` by a club's own rule.

Beneath these: `cyclic` and `annealed` find schedules, `peeling` gives lanes, `counts` and
`proof` judge them; `mixed_model` fits; `study_ranking` and `study_matches` do many meets at once.

Notes
-----
Cars, lanes and heats are numbered from 1 and 0 is an empty lane, except inside the parts just
named. Times are seconds. Randomness comes in as a `numpy.random.Generator`; nothing here knows
the clock, storage or the web. Derivation and trials: ``docs/theory/racing.md``.
"""
