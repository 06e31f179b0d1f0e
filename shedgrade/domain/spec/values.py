"""Every figure of a spec by itself: where it stands, what it is, and how it is known."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from shedgrade.domain.bound import Bound
from shedgrade.domain.source import Source
from shedgrade.domain.spec.guards import row_says
from shedgrade.domain.spec.limit import Limit
from shedgrade.domain.spec.model import Spec
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
                words = ", ".join(part for part in (limit_name(limit), fruit) if part)
                other = f" way {number}" if number > 1 else ""
                yield Value(f"limit {limit.id}{other}: {fruit}", words + (", or" if other else ""), row.to, row.source)


def limit_name(limit: Limit) -> str:
    """The limit's name with a capital."""
    return f"{limit.name[0].upper()}{limit.name[1:]}"


def _severities(spec: Spec) -> Iterator[Value]:
    for severity in spec.severities:
        for step in severity.steps:
            place = f"severity {severity.id}: {step.name}"
            yield Value(place, f"{severity.name}, {step.name}", step.to, step.source)


def _tolerances(spec: Spec) -> Iterator[Value]:
    names = {each.id: each.name for each in spec.sets}
    for tolerance in spec.tolerances:
        for way, part in _parts(tolerance.part, ()):
            words = ", of which ".join(" or ".join(names[each] for each in of) for of in way)
            place = " > ".join(" ".join(of) for of in way)
            yield Value(f"tolerance {tolerance.id}: {place}", f"{tolerance.name}: {words}", part.to, part.source)


def _parts(part: Part, above: tuple[tuple[str, ...], ...]) -> Iterator[tuple[tuple[tuple[str, ...], ...], Part]]:
    way = (*above, part.of)
    yield way, part
    for inner in part.within:
        yield from _parts(inner, way)
