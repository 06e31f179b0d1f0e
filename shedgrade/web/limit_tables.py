"""The limits of a spec as tables by class and size, each value with its source where that is not the table's."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import groupby

from shedgrade.domain.bound import Bound
from shedgrade.domain.grading.words import steps_allowed
from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.guards import besides_class_and_size
from shedgrade.domain.spec.limit import Level, Limit, Row, Way
from shedgrade.domain.spec.measure import Measure, Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.web.measure_words import measured

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
    """A line of a limits table: a limit with its source, or one size or row of it (source "": the table's)."""

    name: str
    measured: str
    note: str
    cells: list[Cell]
    source: str


@dataclass(frozen=True, slots=True)
class LimitTable:
    """All limits that know neither sizes nor other guards, or one limit by size or row by row. ``first`` and ``heads``
    name the columns."""

    title: str
    measured: str
    note: str
    source: str
    first: str
    heads: list[str]
    lines: list[LimitLine]
    ways: list["LimitTable"] = field(default_factory=list)


def limit_tables(spec: Spec, level: Level = Level.FRUIT) -> list[LimitTable]:
    """Of the limits of a level one table of those that are the same for all fruit of a class, then one each for the
    others."""
    limits = [limit for limit in spec.limits if limit.level is level]
    plain = [limit for limit in limits if _is_plain(limit)]
    same, by_size = ([limit for limit in plain if _by_size(limit) is sized] for sized in (False, True))
    return [
        *_unsized(spec, same),
        *(_sized(spec, limit) for limit in by_size),
        *(_row_by_row(spec, limit) for limit in limits if not _is_plain(limit)),
    ]


def _is_plain(limit: Limit) -> bool:
    """Whether class and size alone say what is allowed, in one way."""
    return not limit.or_else and all(row.is_plain for row in limit.rows)


def _unsized(spec: Spec, limits: Sequence[Limit]) -> list[LimitTable]:
    """The limits that are the same for every size, in one table: each line says its section and mark."""
    if not limits:
        return []
    lines = [
        LimitLine(
            limit.name,
            measured(spec, limit.measure, limit.name),
            limit.source.note,
            _cells(spec, limit, None),
            _within(limit.source, spec.source),
        )
        for limit in limits
    ]
    heads = [*(each.name for each in spec.classes), "Where it stands"]
    return [LimitTable("Limits that are the same for every size", "", "", _text(spec.source), "Limit", heads, lines)]


def _sized(spec: Spec, limit: Limit) -> LimitTable:
    by_class = [
        _spanned([_cell(spec, limit, limit.row_for(each.id, size)) for size in spec.scale.names])
        for each in spec.classes
    ]
    lines = [
        LimitLine(size, "", "", [column[place] for column in by_class], "")
        for place, size in enumerate(spec.scale.names)
    ]
    return _table(spec, limit, "Size", [each.name for each in spec.classes], lines)


def _row_by_row(spec: Spec, limit: Limit) -> LimitTable:
    """Every row with the fruit it speaks of: the first that fits decides. Other ways to satisfy it follow."""
    table = _table(spec, limit, *_ROWS, _rows(spec, limit, limit.ways[0]))
    ways = [_way(spec, limit, way) for way in limit.or_else]
    return replace(table, ways=ways)


_ROWS = ("Class", ["Size", "Which fruit", "Allowed"])


def _way(spec: Spec, limit: Limit, way: Way) -> LimitTable:
    return LimitTable("or", measured(spec, way.measure, limit.name), "", "", *_ROWS, _rows(spec, limit, way))


def _rows(spec: Spec, limit: Limit, way: Way) -> list[LimitLine]:
    return [
        LimitLine(
            listed([spec.grade_class(each).name for each in row.classes], "or") or "every class",
            "",
            "",
            [
                Cell(listed(row.sizes, "or") or "every size", "", ""),
                Cell(besides_class_and_size(spec, row) or ("all" if row is way.rows[0] else "all others"), "", ""),
                _cell(spec, limit, row, way.measure),
            ],
            "",
        )
        for row in way.rows
    ]


def _table(spec: Spec, limit: Limit, first: str, heads: list[str], lines: list[LimitLine]) -> LimitTable:
    title, note = sentence(limit.name).removesuffix("."), sentence(limit.source.note)
    return LimitTable(title, measured(spec, limit.measure, limit.name), note, limit.source.says(), first, heads, lines)


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
    return [_cell(spec, limit, limit.row_for(each.id, size)) for each in spec.classes]


def _cell(spec: Spec, limit: Limit, row: Row | None, measure: Measure | None = None) -> Cell:
    if row is None:
        return Cell("no rule", "", "")
    allowed = allowed_words(spec, measure or limit.measure, row)
    return Cell(allowed, own_source(row.source, limit.source), _own_note(row.source, limit.source))


def allowed_words(spec: Spec, measure: Measure, row: Row) -> str:
    """The bound in words that stand by themselves: "none" and "no limit" look alike in a column and mean opposites."""
    if row.to.is_any:
        return "any amount allowed"
    if row.to.is_nil:
        return "none allowed"
    if measure.take is Take.CODES and row.to == _AT_LEAST_ONE:
        return "must have a size"
    if measure.take is Take.SEVERITY:
        severity = next(each for each in spec.severities if each.id == measure.of[0])
        return steps_allowed(severity, row.to).removesuffix(" is allowed")
    return row.to.says()


def own_source(source: Source, table: Source) -> str:
    """A value's own source, said only where it differs from its table's: the mark alone if the text is the same."""
    if _place(source) == _place(table):
        return ""
    return source.mark.says if _text(source) == _text(table) else source.says()


def own_words(source: Source, table: Source) -> str:
    """The same with the value's own note."""
    return "; ".join(filter(None, (own_source(source, table), _own_note(source, table))))


def _own_note(source: Source, table: Source) -> str:
    """A value's own note, unless the table's says it already."""
    return "" if source.note in table.note else source.note


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


def sentence(note: str) -> str:
    """A note begun with a capital and ended with a full stop; its other letters stay as they are."""
    return f"{note[0].upper()}{note[1:].removesuffix('.')}." if note else ""
