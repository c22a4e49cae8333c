"""Command line: one file for each command, listed in `hillbench.cli.main`."""
