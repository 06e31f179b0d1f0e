"""The sets of fruit and the tolerances of a spec file, read."""

from collections.abc import Collection
from dataclasses import dataclass

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.entry.bounds import Wanted
from shedgrade.domain.source import Source
from shedgrade.domain.spec.bound_slips import exceeds_whole, too_much
from shedgrade.domain.spec.known import Known
from shedgrade.domain.spec.limit import Level, Limit
from shedgrade.domain.spec.mistakes import suggestion
from shedgrade.domain.spec.reading import Table, once
from shedgrade.domain.spec.reading_sources import read_source
from shedgrade.domain.spec.tolerance import Basis, FruitSet, Part, Scope, Tolerance

_CONDITIONS = ("below", "meets", "breaks", "has", "sets", "other_size")


@dataclass(frozen=True, slots=True)
class _Names:
    """What a part of a tolerance may name."""

    sets: Collection[str]
    limits: Collection[str]
    scope: Scope
    sizes: Collection[str]


@dataclass(frozen=True, slots=True)
class _Sets:
    """The ids of the sets above one, and of itself and those below it."""

    above: Collection[str]
    further: Collection[str]


def read_sets(table: Table, known: Known, limits: tuple[Limit, ...]) -> tuple[FruitSet, ...]:
    """The named sets of fruit; each may name those before it."""
    entries = table.tables("set", required=False)
    sets: list[FruitSet] = []
    for entry in entries:
        earlier, further = [each.id for each in sets], [each.written("id") for each in entries[len(sets) :]]
        sets.append(_set(entry, known, [limit.id for limit in limits], _Sets(earlier, further)))
    once(entries, "id", [each.id for each in sets])
    return tuple(sets)


def _of_one_fruit(limits: tuple[Limit, ...]) -> list[str]:
    """The limits that one fruit can break."""
    return [limit.id for limit in limits if limit.level is not Level.PACKAGE]


def _set(table: Table, known: Known, limits: Collection[str], around: _Sets) -> FruitSet:
    if not any(table.has(key) for key in _CONDITIONS):
        table.note("", "no condition", f"at least one of {', '.join(_CONDITIONS)}")
    fruit_set = FruitSet(
        id=table.id(),
        name=table.text("name"),
        source=read_source(table, known.source),
        below=_class(table, "below", known),
        meets=_class(table, "meets", known),
        breaks=table.known("breaks", limits, required=False),
        as_class=_class(table, "as_class", known),
        has=_kinds(table, known),
        sets=_above(table, around),
        other_size=_of_sizes(table, "other_size", known.sizes),
    )
    if fruit_set.as_class and not table.has("breaks"):
        table.refuse("as_class", "breaks with it, or no as_class")
    table.done()
    return fruit_set


def _class(table: Table, key: str, known: Known) -> str | None:
    """One class; None when the key is left out."""
    table.pass_over(key)
    return table.known_word(key, known.classes) if table.has(key) else None


def _above(table: Table, around: _Sets) -> tuple[str, ...]:
    """The sets that a set names: those above it, so that none stands inside itself."""
    words = table.words("sets", required=False)
    listed = ", ".join(f'"{each}"' for each in around.above) or "there is none above this one"
    for word in words:
        if word in around.further and word not in around.above:
            table.note("sets", f'"{word}", which does not stand above', f"only sets written above it: {listed}")
        elif word not in around.above:
            accepted, sort = suggestion(word, around.above)
            table.note("sets", f'"{word}"', f"only sets written above it: {accepted}", sort)
    return words


def _kinds(table: Table, known: Known) -> tuple[str, ...]:
    if known.crop is None:
        return table.words("has", required=False)
    return table.known("has", [kind.id for kind in known.crop.kinds], required=False)


def _of_sizes(table: Table, key: str, sizes: Collection[str]) -> bool:
    """A flag that says something of the size on the label: only true, and only where there are sizes."""
    noted = len(table.notebook.mistakes)
    said = table.flag(key, default=False)
    if table.has(key) and not (said and sizes) and len(table.notebook.mistakes) == noted:
        table.refuse(key, f"{key} = true in a spec with a size table, or no {key}")
    return said


def read_tolerances(
    table: Table, known: Known, limits: tuple[Limit, ...], sets: tuple[FruitSet, ...]
) -> tuple[Tolerance, ...]:
    """The tolerances, each with its parts."""
    entries = table.tables("tolerance", required=False)
    set_ids, limit_ids = [each.id for each in sets], _of_one_fruit(limits)
    tolerances = tuple(_tolerance(entry, known, set_ids, limit_ids) for entry in entries)
    once(entries, "id", [tolerance.id for tolerance in tolerances])
    return tolerances


def _tolerance(table: Table, known: Known, sets: Collection[str], limits: Collection[str]) -> Tolerance:
    source = read_source(table, known.source)
    scope = table.choice_or_none("scope", list(Scope))
    names = _Names(sets, limits, scope or Scope.LOT, known.sizes)
    tolerance = Tolerance(
        id=table.id(),
        name=table.text("name"),
        classes=table.known("class", known.classes, required=False),
        basis=table.choices("basis", Basis),
        scope=names.scope,
        part=_part(table, source.below(), None, names),
        source=source,
    )
    table.done()
    return tolerance


def _part(table: Table, source: Source, outer: Bound | None, names: _Names) -> Part:
    """The figures of a tolerance or of a part inside it; ``outer`` is how much the part around it allows."""
    to = _allowed(table, outer)
    times = table.times("package_times")
    if times is not None and names.scope is not Scope.LOT:
        table.refuse("package_times", 'scope = "lot" with it, or no package_times')
    inner = table.tables("within", required=False)
    return Part(
        of=table.known("of", names.sets),
        to=to,
        source=source,
        package_times=times,
        still=table.known("still", names.limits, required=False),
        next_size=_of_sizes(table, "next_size", names.sizes),
        within=tuple(_inner(entry, source, to, names) for entry in inner),
    )


def _inner(table: Table, above: Source, outer: Bound, names: _Names) -> Part:
    part = _part(table, read_source(table, above), outer, names)
    table.done()
    return part


def _allowed(table: Table, outer: Bound | None) -> Bound:
    wanted = Wanted([Unit.NUMBER, Unit.PERCENT], at_most=True, counted="fruit")
    to = table.bound("to", wanted.units, at_most=wanted.at_most, counted=wanted.counted)
    ends = [end for end in (to.low, to.high) if end is not None]
    if to.unit is Unit.NUMBER and any(end.denominator != 1 for end in ends):
        table.note("to", f'"{to.text()}"', 'a share such as "<= 10 %", or a whole number of fruit such as "<= 1"')
    elif to.unit is Unit.PERCENT and exceeds_whole(to):
        table.note("to", f'"{to.text()}"', *too_much(to.text(), wanted))
    elif outer is not None and to.unit is outer.unit and _is_more(to, outer):
        table.note("to", f'"{to.text()}"', f'no more than the part around it allows, "{outer.text()}"')
    return to


def _is_more(inner: Bound, outer: Bound) -> bool:
    return inner.high is not None and outer.high is not None and inner.high > outer.high
