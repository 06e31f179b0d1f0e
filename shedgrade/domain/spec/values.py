"""Every figure of a spec by itself: where it stands, what it is, and how it is known."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count

from shedgrade.domain.bound import Bound
from shedgrade.domain.source import Source
from shedgrade.domain.spec.guards import row_says
from shedgrade.domain.spec.limit import Limit, Row
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.scale import Band
from shedgrade.domain.spec.tolerance import Part


@dataclass(frozen=True, slots=True)
class Value:
    """One figure. ``place`` is the same in every spec that says something of the same thing ("limit skin-marks: Class
    I, size A"); ``words`` name it for people; ``to`` is the figure."""

    place: str
    words: str
    to: Bound
    source: Source


def values_of(spec: Spec) -> tuple[Value, ...]:
    """Every figure of sizes, limits, severities and tolerances, in file order. No two have one place."""
    found: dict[str, Value] = {}
    for value in (*_sizes(spec), *_limits(spec), *_severities(spec), *_tolerances(spec)):
        place = next(each for each in _numbered(value.place) if each not in found)
        found[place] = Value(place, value.words, value.to, value.source)
    return tuple(found.values())


def _numbered(place: str) -> Iterator[str]:
    """A second row that speaks of the same fruit is told apart by its number."""
    yield place
    yield from (f"{place} #{number}" for number in count(2))


def _sizes(spec: Spec) -> Iterator[Value]:
    for band in spec.scale.bands:
        of = f" of {', '.join(band.varieties)}" if band.varieties else ""
        yield Value(f"size {band.name}{of}", f"Size {band.name}{of}", band.to, band.source)


def _limits(spec: Spec) -> Iterator[Value]:
    for limit in spec.limits:
        for number, way in enumerate(limit.ways, start=1):
            for row in way.rows:
                fruit = row_says(spec, row)
                words = ", ".join(part for part in (_capital(limit.name), fruit) if part)
                other = f" way {number}" if number > 1 else ""
                yield Value(f"limit {limit.id}{other}: {fruit}", words + (", or" if other else ""), row.to, row.source)


def _capital(name: str) -> str:
    return f"{name[0].upper()}{name[1:]}"


def _severities(spec: Spec) -> Iterator[Value]:
    for severity in spec.severities:
        for step in severity.steps:
            place = f"severity {severity.id}: {step.name}"
            yield Value(place, f"{_capital(severity.name)}, {step.name}", step.to, step.source)


def _tolerances(spec: Spec) -> Iterator[Value]:
    names = {each.id: each.name for each in spec.sets}
    for tolerance in spec.tolerances:
        for way, part in _parts(tolerance.part, ()):
            words = ", of which ".join(" or ".join(names[each] for each in of) for of in way)
            place = " > ".join(" ".join(of) for of in way)
            yield Value(
                f"tolerance {tolerance.id}: {place}", f"{_capital(tolerance.name)}: {words}", part.to, part.source
            )


def _parts(part: Part, above: tuple[tuple[str, ...], ...]) -> Iterator[tuple[tuple[tuple[str, ...], ...], Part]]:
    way = (*above, part.of)
    yield way, part
    for inner in part.within:
        yield from _parts(inner, way)


def with_sources(spec: Spec, told: Callable[[Value], Source]) -> Spec:
    """The same spec with the sources of its figures as ``told`` gives them. A limit or size table whose figures all get
    one and the same new source takes that itself, so that it is said once."""
    sources = iter([told(value) for value in values_of(spec)])
    bands = tuple(replace(band, source=next(sources)) for band in spec.scale.bands)
    scale = replace(spec.scale, bands=bands, source=_common(spec.scale.source, spec.scale.bands, bands))
    return replace(
        spec,
        scale=scale,
        limits=tuple(_limit_with(limit, sources) for limit in spec.limits),
        severities=tuple(
            replace(each, steps=tuple(replace(step, source=next(sources)) for step in each.steps))
            for each in spec.severities
        ),
        tolerances=tuple(replace(each, part=_part_with(each.part, sources)) for each in spec.tolerances),
    )


def _limit_with(limit: Limit, sources: Iterator[Source]) -> Limit:
    rows = tuple(replace(row, source=next(sources)) for row in limit.rows)
    ways = tuple(
        replace(way, rows=tuple(replace(row, source=next(sources)) for row in way.rows)) for way in limit.or_else
    )
    return replace(limit, rows=rows, or_else=ways, source=_common(limit.source, limit.rows, rows))


def _part_with(part: Part, sources: Iterator[Source]) -> Part:
    source = next(sources)
    return replace(part, source=source, within=tuple(_part_with(each, sources) for each in part.within))


def _common(own: Source, before: Sequence[Row | Band], after: Sequence[Row | Band]) -> Source:
    """The one source all figures have now, where it is another than each of them had; with the table's own note, and
    theirs where that is new."""
    found = {each.source for each in after}
    changed = all(one.source != other.source for one, other in zip(before, after, strict=True))
    if len(found) != 1 or not changed:
        return own
    source = found.pop()
    if all(each.source.note == source.note for each in before):
        return replace(source, note=own.note)
    return replace(source, note="; ".join(filter(None, (own.note, source.note))))
