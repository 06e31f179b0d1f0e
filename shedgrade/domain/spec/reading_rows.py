"""The table of a limit, read: its rows and their guards, or the one figure for all."""

import re

from shedgrade.domain.source import Source
from shedgrade.domain.spec.bound_slips import figures_in
from shedgrade.domain.spec.known import Known, Looked
from shedgrade.domain.spec.limit import Days, Row, When
from shedgrade.domain.spec.measure import Take
from shedgrade.domain.spec.mistakes import Wrong, suggestion
from shedgrade.domain.spec.reading import Table
from shedgrade.domain.spec.reading_sources import read_source
from shedgrade.domain.spec.reading_varieties import read_varieties

_DAYS = re.compile(r"(\d\d)-(\d\d) to (\d\d)-(\d\d)", re.ASCII)
_DAYS_ACCEPTED = 'two days as month-day, both included, such as "12-01 to 02-28"'
_LAST_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def read_rows(table: Table, limit_id: str, looked: Looked, above: Source, known: Known) -> tuple[Row, ...]:
    """The rows, or the one figure for all fruit written as ``to``."""
    to, listed = table.has("to"), table.has("rows")
    if to and not listed:
        return (Row(table.bound("to", looked.units, at_most=looked.measure.is_of_faults), above.below()),)
    if to:
        table.refuse("to", "either to or rows")
    if not to and not listed:
        table.pass_over("rows")
        table.note(
            "rows",
            "nothing",
            f"to, one bound for all fruit ({figures_in(looked.units)}), or {table.listing('rows')}",
            Wrong.MISSING,
        )
        return ()
    entries = table.tables("rows")
    rows = tuple(_row(row, limit_id, looked, above, known) for row in entries)
    _reachable(entries, rows, known)
    return rows


def _reachable(entries: list[Table], rows: tuple[Row, ...], known: Known) -> None:
    """The first row that fits decides, so one that speaks only of what an earlier row speaks of is never reached."""
    sound = [number for number, entry in enumerate(entries) if entry.is_sound]
    for number in sound:
        earlier = (each for each in sound if each < number)
        before = next((each + 1 for each in earlier if rows[each].covers(rows[number], known.classes)), None)
        if before is not None:
            found = f"a row that can never be reached: row {before} already speaks of the same fruit"
            accepted = f"this row before row {before}, or other guards, or no such row"
            entries[number].note("", found, accepted, Wrong.NEVER_REACHED)


def _row(table: Table, limit_id: str, looked: Looked, above: Source, known: Known) -> Row:
    row = Row(
        to=table.bound("to", looked.units, at_most=looked.measure.is_of_faults),
        source=read_source(table, above),
        classes=table.known("class", known.classes, required=False),
        sizes=table.known("size", known.sizes, required=False),
        varieties=read_varieties(table, known),
        days=_days(table),
        stages=table.own_words("stage"),
        destinations=table.own_words("destination"),
        grown_in=table.own_words("grown_in"),
        presentations=table.own_words("presentation"),
        when=_when(table, limit_id, known) if table.has("when") else (),
    )
    table.done()
    return row


def _days(table: Table) -> Days | None:
    if not table.has("days"):
        return None
    text = table.text("days")
    found = _DAYS.fullmatch(text.strip())
    first, last = ((int(found[1]), int(found[2])), (int(found[3]), int(found[4]))) if found else ((0, 0), (0, 0))
    if _is_day(*first) and _is_day(*last):
        return Days(first, last)
    if text:
        table.note("days", f'"{text}"', _DAYS_ACCEPTED)
    return None


def _is_day(month: int, day: int) -> bool:
    return 1 <= month <= len(_LAST_DAYS) and 1 <= day <= _LAST_DAYS[month - 1]


def _when(table: Table, limit_id: str, known: Known) -> tuple[When, ...]:
    """The switches of a row, in the order of their names, so that how they were typed does not matter."""
    entry = table.table("when")
    switches = {name: _switch(name, limit_id, known) for name in sorted(entry.keys)}
    if not entry.keys:
        table.note("when", "nothing in it", 'a name and a bound, such as { weight = "< 85 g" }')
    read = tuple(
        When(name, on.measure, entry.bound(name, on.units, at_most=on.measure.is_of_faults))
        for name, on in switches.items()
        if on is not None
    )
    for name, on in switches.items():
        if on is None and known.crop is not None:
            entry.note(name, f'"{name}"', *suggestion(name, _switches(limit_id, known)))
    return read


def _switch(name: str, limit_id: str, known: Known) -> Looked | None:
    return known.value(name) or (known.looked[name] if name in _switches(limit_id, known) else None)


def _switches(limit_id: str, known: Known) -> list[str]:
    """What a row may be switched by: a figure of the fruit or load, or what another limit looks at."""
    others = [name for name, on in known.looked.items() if name != limit_id and on.measure.take is not Take.SPREAD]
    return list(dict.fromkeys([*known.value_names, *others]))
