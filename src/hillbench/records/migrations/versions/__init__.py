"""One module for each schema, oldest first."""
