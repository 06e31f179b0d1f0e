"""The classes and the outlets of a spec file, read."""

from collections.abc import Collection

from shedgrade.domain.source import Source
from shedgrade.domain.spec.known import Known
from shedgrade.domain.spec.limit import Level, Limit
from shedgrade.domain.spec.mistakes import Wrong
from shedgrade.domain.spec.model import NO_CLASS, TOO_HEAVY, TOO_LIGHT, GradeClass, Outlet
from shedgrade.domain.spec.reading import Table, once
from shedgrade.domain.spec.reading_sources import read_source


def read_classes(table: Table) -> tuple[GradeClass, ...]:
    """The classes, best first."""
    entries = table.tables("class")
    classes = tuple(GradeClass(entry.text("id"), entry.text("name")) for entry in entries)
    once(entries, "id", [each.id for each in classes])
    for entry in entries:
        entry.done()
    return classes


def read_outlets(table: Table, known: Known, limits: tuple[Limit, ...]) -> tuple[Outlet, ...]:
    """Where the rest goes; each case once, and one outlet for what makes no class."""
    entries = table.tables("outlet")
    cases = [*(limit.id for limit in limits if limit.level is Level.FRUIT), TOO_LIGHT, TOO_HEAVY, NO_CLASS]
    outlets = tuple(_outlet(entry, known.source, cases) for entry in entries)
    once(entries, "id", [outlet.id for outlet in outlets])
    taken: set[str] = set()
    for entry, outlet in zip(entries, outlets, strict=True):
        for case in sorted(taken.intersection(outlet.takes)):
            accepted = "each case once: the first outlet already takes it"
            entry.note("takes", f'"{case}" a second time', accepted, Wrong.TWICE)
        taken.update(outlet.takes)
    if entries and NO_CLASS not in taken:
        table.note("outlet", f'no outlet that takes "{NO_CLASS}"', f'one outlet with takes = ["{NO_CLASS}"]')
    return outlets


def _outlet(table: Table, above: Source, cases: Collection[str]) -> Outlet:
    outlet = Outlet(
        table.id(), table.text("name"), table.flag("packed"), table.known("takes", cases), read_source(table, above)
    )
    table.done()
    return outlet
