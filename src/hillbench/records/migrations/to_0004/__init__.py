"""The parts of schema 0004, one module for each aggregate."""
