"""For which fruit a row speaks, in words: "Class I, size A, Hass, from 1 Dec to 28 Feb, at export control"."""

from calendar import month_abbr
from collections.abc import Iterator

from shedgrade.domain.spec.limit import Days, Row, When
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed, named


def row_says(spec: Spec, row: Row) -> str:
    """Every guard of a row in one line; "" for a row that speaks of all fruit."""
    return ", ".join(_guards(spec, row))


def besides_class_and_size(spec: Spec, row: Row) -> str:
    """The guards of a row other than class and size; "" without any."""
    return ", ".join(_others(spec, row))


def _guards(spec: Spec, row: Row) -> Iterator[str]:
    if row.classes:
        yield listed([spec.grade_class(each).name for each in row.classes], "or")
    if row.sizes:
        yield f"size {listed(row.sizes, 'or')}"
    yield from _others(spec, row)


def _others(spec: Spec, row: Row) -> Iterator[str]:
    if row.varieties:
        yield listed(row.varieties, "or")
    if row.days is not None:
        yield _days(row.days)
    if row.stages:
        yield f"at {listed(row.stages, 'or')}"
    if row.destinations:
        yield f"to {listed(row.destinations, 'or')}"
    if row.grown_in:
        yield f"grown in {listed(row.grown_in, 'or')}"
    if row.presentations:
        yield f"presented {listed(row.presentations, 'or')}"
    for when in row.when:
        yield _when(spec, when)


def _days(days: Days) -> str:
    first, last = (f"{day} {month_abbr[month]}" for month, day in (days.first, days.last))
    return f"from {first} to {last}"


def _when(spec: Spec, when: When) -> str:
    return f"where {named(spec, when.name)} is {when.bound.says()}"
