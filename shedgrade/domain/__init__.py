"""The knowledge of the trade: no web, no database, no settings, no clock of its own."""
