"""Sources as they are read: a part says only what differs from the one above it, and a note is its own."""

from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.reading import Table


def read_source(table: Table, above: Source | None, *, day: bool = True) -> Source:
    """The source written in a table, filled up from the one above it; only the topmost must be whole.

    ``day`` False is for a table whose ``on`` means something else.
    """
    above_day = above.on if above else ""
    return Source(
        standard=table.text("standard", above.standard if above else None),
        edition=table.text("edition", above.edition if above else None),
        section=table.text("section", above.section if above else "", may_be_empty=True),
        mark=table.choice("mark", Mark, above.mark if above else None),
        note=table.text("note", "", may_be_empty=True),
        address=table.text("address", above.address if above else "", may_be_empty=True),
        on=table.day("on", above_day) if day else above_day,
    )


def read_top_source(table: Table) -> Source:
    """The table ``[source]``, which everything else inherits from."""
    entry = table.table("source")
    source = read_source(entry, None)
    entry.done()
    return source
