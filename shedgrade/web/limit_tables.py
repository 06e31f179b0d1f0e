"""The limits of a spec as tables by class and size, each value with its source where that is not the table's."""

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from shedgrade.domain.bound import Bound
from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.limit import Limit, Row
from shedgrade.domain.spec.measure import COLOUR_STAGE, WEIGHT, By, Take
from shedgrade.domain.spec.model import Spec

_AT_LEAST_ONE = Bound(low=Fraction(1))


@dataclass(frozen=True, slots=True)
class Cell:
    """What is allowed, and the value's own source where it is not the table's. It stands for ``rows`` lines: 0 means
    that the cell above says it already."""

    allowed: str
    source: str
    note: str
    rows: int = 1


@dataclass(frozen=True, slots=True)
class LimitLine:
    """A line of a limits table: a limit with its source, or one size of it (source "": the table's)."""

    name: str
    measured: str
    note: str
    cells: list[Cell]
    source: str


@dataclass(frozen=True, slots=True)
class LimitTable:
    """All limits that know no sizes, or one limit by size."""

    title: str
    measured: str
    note: str
    source: str
    lines: list[LimitLine]


def limit_tables(spec: Spec) -> list[LimitTable]:
    """One table of the limits that know no sizes, then one for each that does."""
    return [*_unsized(spec), *(_sized(spec, limit) for limit in spec.limits if _by_size(limit))]


def _unsized(spec: Spec) -> list[LimitTable]:
    """The limits that are the same for every size, in one table: each line says its section and mark."""
    limits = [limit for limit in spec.limits if not _by_size(limit)]
    if not limits:
        return []
    lines = [
        LimitLine(
            limit.name,
            measured(spec, limit),
            limit.source.note,
            _cells(spec, limit, None),
            _within(limit.source, spec.source),
        )
        for limit in limits
    ]
    return [LimitTable("Limits that are the same for every size", "", "", _text(spec.source), lines)]


def _sized(spec: Spec, limit: Limit) -> LimitTable:
    by_class = [
        _spanned([_cell(limit, limit.row_for(each.id, size)) for size in _sizes(spec)]) for each in spec.classes
    ]
    lines = [
        LimitLine(size, "", "", [column[place] for column in by_class], "") for place, size in enumerate(_sizes(spec))
    ]
    title, note = sentence(limit.name), sentence(limit.source.note)
    return LimitTable(title, measured(spec, limit), note, limit.source.says(), lines)


def _sizes(spec: Spec) -> list[str]:
    return [band.name for band in spec.scale.bands]


def _spanned(column: list[Cell]) -> list[Cell]:
    """Equal cells under each other as one."""
    spanned: list[Cell] = []
    for _, group in groupby(column):
        cells = list(group)
        spanned += [replace(cells[0], rows=len(cells)), *(replace(cell, rows=0) for cell in cells[1:])]
    return spanned


def _by_size(limit: Limit) -> bool:
    return any(row.sizes for row in limit.rows)


def _cells(spec: Spec, limit: Limit, size: str | None) -> list[Cell]:
    return [_cell(limit, limit.row_for(each.id, size)) for each in spec.classes]


def _cell(limit: Limit, row: Row | None) -> Cell:
    if row is None:
        return Cell("no rule", "", "")
    allowed = _allowed(limit, row)
    note = row.source.note if row.source.note != limit.source.note else ""
    return Cell(allowed, own_source(row.source, limit.source), note)


def _allowed(limit: Limit, row: Row) -> str:
    """The bound in words that stand by themselves: "none" and "no limit" look alike in a column and mean opposites."""
    if row.to.is_any:
        return "any amount allowed"
    if row.to.is_nil:
        return "none allowed"
    if limit.measure.take is Take.CODES and row.to == _AT_LEAST_ONE:
        return "must have a size"
    return row.to.says()


def own_source(source: Source, table: Source) -> str:
    """A value's own source, said only where it differs from its table's: the mark alone if the text is the same."""
    if _place(source) == _place(table):
        return ""
    return source.mark.says if _text(source) == _text(table) else source.says()


def _within(source: Source, spec: Source) -> str:
    """A limit's section and mark; its text, too, where that is not the spec's."""
    if _text(source) != _text(spec):
        return source.says()
    section = f"section {source.section}, " if source.section else ""
    return f"{section}{source.mark.says}"


def _text(source: Source) -> str:
    return ", ".join(part for part in (source.standard, source.edition) if part)


def _place(source: Source) -> tuple[str, str, str, Mark]:
    return source.standard, source.edition, source.section, source.mark


def measured(spec: Spec, limit: Limit) -> str:
    """What a limit looks at and how the figure is got, in words."""
    measure = limit.measure
    if measure.take is Take.CODES:
        return "how many sizes the weight falls in"
    if measure.take is Take.VALUE:
        return {COLOUR_STAGE: "the number of the colour stage", WEIGHT: "the weight"}[measure.of[0]]
    names = [spec.crop.kind(kind).name for kind in measure.of]
    unit = "cm²" if measure.by is By.AREA else "share of the surface"
    if measure.take is Take.PRESENT:
        how = "how many of them are there" if len(names) > 1 else "there or not"
    else:
        how = f"added up, {unit}" if len(names) > 1 else unit
    return how if names == [limit.name] else f"{', '.join(names)}: {how}"


def sentence(note: str) -> str:
    """A note begun with a capital and ended with a full stop; its other letters stay as they are."""
    return f"{note[0].upper()}{note[1:].removesuffix('.')}." if note else ""
