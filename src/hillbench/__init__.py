"""Hillbench: from the bench to the clock for 1:64 cars that coast down a hill."""

__version__ = "0.1.0"
