"""The bench book: what the builder has entered, kept in one folder on this computer.

`bench_book` opens the folder, the `*_store` modules read and write one aggregate each inside
a session of it, and `entities` are the plain values that go in and come out.
"""
