"""The only SQL: tables, migrations, and queries by noun."""
