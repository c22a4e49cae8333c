"""A build: its steps and their order, waits and dates, cautions, and the ledger of its mass."""
