"""One file a change of the schema, oldest first."""
