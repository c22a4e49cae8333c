"""Tests of builds: steps, order, waits, ledger and guard bands."""
