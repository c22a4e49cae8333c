"""What a builder does, one verb to a file; the web app and the command line call these.

Each takes the open `BenchBook`, plain values in the units of their names, and `now` (UTC, with
its zone) where something is kept. Each returns frozen dataclasses and raises `InvalidInput`,
whose places are the names of the parameters, `NotFound`, or a `BenchBookError` of the disk.

Keeping: `save_casting`, `save_car`, `save_track`, `weigh_car`, `measure_car`, `add_photo`,
`note_run`; `remove_thing` and `restore_thing` for any kind of thing.
Looking: `list_bench`, `list_tracks`, `show_car`, `list_removed`, `find_photo_file`.
Timing: `begin_outing`, `enter_run`, `take_line`, `read_pasted`, `import_runs` keep runs;
`show_outing`, `show_timing`, `judge_gain` answer.
Computing: `describe_car`, `predict_run`, `what_if`, `sketch_track`, `coast_file`.
Carrying: `back_up_bench`, `export_bench`, `import_bench`.
"""
