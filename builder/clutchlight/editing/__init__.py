"""Commands that write records: they append or create, and never overwrite."""
