"""Migrations of the bench book, one file for each schema; none of them knows the live tables."""
