"""The limits and the severities of a spec file, read."""

from dataclasses import replace

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.source import Source
from shedgrade.domain.spec.known import Known, Looked
from shedgrade.domain.spec.limit import Level, Limit, Severity, Step, Way
from shedgrade.domain.spec.measure import OWN_WORDS, Take
from shedgrade.domain.spec.reading import Table, once
from shedgrade.domain.spec.reading_measures import read_looked, read_rated
from shedgrade.domain.spec.reading_rows import read_rows
from shedgrade.domain.spec.reading_sources import read_source


def read_limits(table: Table, known: Known) -> tuple[tuple[Limit, ...], Known]:
    """Every limit, and what is known with them. What they look at is read first, for a row may be switched by
    what a later limit looks at."""
    entries = table.tables("limit")
    heads = [_head(entry, known) for entry in entries]
    once(entries, "id", [head.id for head, _ in heads])
    known = replace(known, looked={head.id: looked for head, looked in heads if head.id})
    limits = tuple(_filled(entry, head, looked, known) for entry, (head, looked) in zip(entries, heads, strict=True))
    return limits, known


def _head(table: Table, known: Known) -> tuple[Limit, Looked]:
    """A limit as far as it can be read before the others are known: without its rows."""
    level = table.choice("level", Level, Level.FRUIT)
    looked = read_looked(table, known, level)
    source = read_source(table, known.source)
    return Limit(table.id(), table.text("name"), looked.measure, (), source, level), looked


def _filled(table: Table, limit: Limit, looked: Looked, known: Known) -> Limit:
    rows = read_rows(table, limit.id, looked, limit.source, known)
    ways = table.tables("or_else", required=False)
    table.done()
    return replace(limit, rows=rows, or_else=tuple(_way(way, limit, known) for way in ways))


def _way(table: Table, limit: Limit, known: Known) -> Way:
    looked = read_looked(table, known, limit.level)
    way = Way(looked.measure, read_rows(table, limit.id, looked, limit.source, known))
    table.done()
    return way


def read_severities(table: Table, known: Known) -> tuple[Severity, ...]:
    """The rating scales of the spec."""
    entries = table.tables("severity", required=False)
    severities = tuple(_severity(entry, known) for entry in entries)
    once(entries, "id", [severity.id for severity in severities])
    return severities


def _severity(table: Table, known: Known) -> Severity:
    measure = read_rated(table, known)
    source = read_source(table, known.source)
    taken = [*OWN_WORDS, *known.measures(), *(kind.id for kind in (known.crop.kinds if known.crop else ()))]
    entries = table.tables("steps")
    steps = tuple(_step(entry, measure.units if measure.of else list(Unit), source) for entry in entries)
    once(entries, "name", [step.name for step in steps])
    _rising(entries, steps, whole=measure.take is Take.PLACES)
    severity = Severity(table.own_id(taken), table.text("name"), measure, steps, source)
    table.done()
    return severity


def _step(table: Table, units: "list[Unit] | tuple[Unit, ...]", above: Source) -> Step:
    step = Step(table.text("name"), table.bound("to", units, at_most=True), read_source(table, above))
    table.done()
    return step


def _rising(entries: list[Table], steps: tuple[Step, ...], *, whole: bool) -> None:
    """The first step that fits wins, so one that does not reach further than those before it is never got to; and a
    figure between two steps would have none. ``whole``: the figures are whole numbers."""
    before: Bound | None = None
    for entry, step in zip(entries, steps, strict=True):
        if before is not None and not _goes_on(before, step.to):
            accepted = "steps from mild to severe, each reaching further than the one before; only the last has no end"
            entry.note("to", f'"{step.to.text()}"', accepted)
            continue
        if before is not None and _is_gap(before, step.to, whole=whole):
            entry.note("to", f'"{step.to.text()}"', f'no gap after the step before it, "{before.text()}"')
        before = step.to


def _goes_on(before: Bound, after: Bound) -> bool:
    """Whether a step reaches further than the one before it."""
    if before.high is None or after.high is None:
        return before.high is not None
    return (after.high, after.high_closed) > (before.high, before.high_closed)


def _is_gap(before: Bound, after: Bound, *, whole: bool) -> bool:
    """Whether some figure lies past one step and before the next."""
    if before.high is None or after.low is None:
        return False
    if whole:
        return (after.whole()[0] or 0) > (before.whole()[1] or 0) + 1
    return (after.low, not after.low_closed) > (before.high, before.high_closed)
