"""The packing card of a run: what the table needs to know, on a sheet or two."""

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from itertools import groupby

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.card_words import LARGEST, LAYING, NEVER, TOGETHER, Language, Laying
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.limit import Level, Limit, Row
from shedgrade.domain.spec.measure import Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.values import values_of
from shedgrade.domain.true_size import Shape, circle
from shedgrade.storage.runs import RunWhole
from shedgrade.storage.tables import SpecVersion
from shedgrade.web.limit_tables import allowed_words
from shedgrade.web.measure_words import measured
from shedgrade.web.run_breaks_view import TrayBreaks, tray_breaks

CHECK_LINE_MM = 50
_AREAS = (Unit.CM2, Unit.CIRCLES)
_CIRCLES = {Take.SUM: TOGETHER, Take.LARGEST: LARGEST}
_LARGEST_MM2 = 2000  # a circle of 5 cm across; what is larger is said in words alone


@dataclass(frozen=True, slots=True)
class CardCell:
    """What is allowed, with the circle of that area at true size where it is an area. It stands for ``rows`` lines, 0
    where the cell above says it already."""

    words: str
    shape: Shape | None
    rows: int = 1


@dataclass(frozen=True, slots=True)
class CardLine:
    """A limit, or one size of it with its weights, class by class."""

    name: str
    figures: str
    cells: tuple[CardCell, ...]


@dataclass(frozen=True, slots=True)
class CardTable:
    """A limit by size: what it looks at, what its circles mean ("" without any), and its lines."""

    name: str
    measured: str
    circle_words: str
    lines: tuple[CardLine, ...]


@dataclass(frozen=True, slots=True)
class CardView:
    """A packing card. ``never`` are what no class allows, ``same`` the limits that are the same for every size.
    ``from_memory`` says how many values of the spec are from memory; ``lying`` whether the sheet lies on its long
    side; ``over`` what is said of a run that packs no longer."""

    title: str
    run: RunWhole
    crop: str
    lots: tuple[tuple[str, str], ...]
    spec: str
    edition: str
    from_memory: int
    since: datetime
    trays: tuple[TrayBreaks, ...]
    classes: tuple[str, ...]
    never: tuple[str, ...]
    same: tuple[CardLine, ...]
    by_size: tuple[CardTable, ...]
    elsewhere: tuple[str, ...]
    sizes: tuple[tuple[str, str], ...]
    laying: Laying | None
    language: Language | None
    lying: bool
    over: str
    check_line_mm: int = CHECK_LINE_MM
    never_title: str = NEVER

    @property
    def has_circles(self) -> bool:
        """Whether anything is drawn at true size."""
        lines = (*self.same, *(line for table in self.by_size for line in table.lines))
        return any(cell.shape for line in lines for cell in line.cells)

    def second(self, english: str) -> str:
        """The words in the second language; "" where there is none, or it lacks them."""
        return "" if self.language is None else self.language.says(english)


def card_view(
    run: RunWhole, version: SpecVersion, spec: Spec, language: Language | None, *, lying: bool = False
) -> CardView:
    """The card; ``spec`` has its sources as confirmed."""
    limits = [limit for limit in spec.limits if limit.level is Level.FRUIT and limit.measure.take is not Take.CODES]
    plain = [limit for limit in limits if _is_plain(limit)]
    same = [limit for limit in plain if not _by_size(limit)]
    never = [limit for limit in same if all(_to(limit, each.id) == Bound.parse("nil") for each in spec.classes)]
    said = [limit for limit in same if limit not in never and not _says_nothing(spec, limit)]
    return CardView(
        title=f"Packing card of run {run.id}",
        run=run,
        crop=spec.crop.name,
        lots=tuple((whole.name, f"{whole.grower.name}, {whole.block.name}") for whole in run.loads),
        spec=f"{version.title}, version {version.version}",
        edition=", ".join(filter(None, (spec.source.standard, spec.source.edition))),
        from_memory=sum(value.source.mark is Mark.FROM_MEMORY for value in values_of(spec)),
        since=run.state.stretch.began,
        trays=tray_breaks(run.state),
        classes=tuple(each.name for each in spec.classes),
        never=tuple(limit.name for limit in never),
        same=tuple(_line(spec, limit) for limit in said),
        by_size=tuple(_table(spec, limit) for limit in plain if _by_size(limit)),
        elsewhere=tuple(limit.name for limit in limits if not _is_plain(limit)),
        sizes=_sizes(spec),
        laying=LAYING.get(spec.crop.id),
        language=language,
        lying=lying,
        over=_over(run),
    )


def _over(run: RunWhole) -> str:
    if run.voided is not None:
        return "This run was voided: do not pack by this card."
    return "" if run.state.finished_at is None else "This run is over. The breaks are those that it ended with."


def _is_plain(limit: Limit) -> bool:
    return not limit.or_else and all(row.is_plain for row in limit.rows)


def _by_size(limit: Limit) -> bool:
    return any(row.sizes for row in limit.rows)


def _to(limit: Limit, class_id: str) -> Bound | None:
    row = limit.row_for(class_id, None)
    return None if row is None else row.to


def _says_nothing(spec: Spec, limit: Limit) -> bool:
    return all(to is None or to.is_any for to in (_to(limit, each.id) for each in spec.classes))


def _line(spec: Spec, limit: Limit) -> CardLine:
    cells = tuple(_cell(spec, limit, limit.row_for(each.id, None)) for each in spec.classes)
    return CardLine(limit.name, measured(spec, limit.measure, limit.name), cells)


def _table(spec: Spec, limit: Limit) -> CardTable:
    figures = dict(_sizes(spec))
    columns = [
        _spanned([_cell(spec, limit, limit.row_for(each.id, size)) for size in spec.scale.names])
        for each in spec.classes
    ]
    lines = tuple(
        CardLine(size, figures.get(size, ""), tuple(column[place] for column in columns))
        for place, size in enumerate(spec.scale.names)
    )
    drawn = any(cell.shape for line in lines for cell in line.cells)
    circle_words = _CIRCLES.get(limit.measure.take, "") if drawn else ""
    return CardTable(limit.name, measured(spec, limit.measure, limit.name), circle_words, lines)


def _spanned(column: list[CardCell]) -> list[CardCell]:
    spanned: list[CardCell] = []
    for _, group in groupby(column):
        first, *others = group
        spanned.append(CardCell(first.words, first.shape, 1 + len(others)))
        spanned += [CardCell(each.words, each.shape, 0) for each in others]
    return spanned


def _cell(spec: Spec, limit: Limit, row: Row | None) -> CardCell:
    if row is None:
        return CardCell("no rule", None)
    return CardCell(allowed_words(spec, limit.measure, row), _shape(row.to))


def _shape(to: Bound) -> Shape | None:
    if to.unit not in _AREAS or to.high is None or not 0 < to.high <= _LARGEST_MM2:
        return None
    whole = Fraction(to.high)
    return circle(int(whole)) if whole.denominator == 1 else None


def _sizes(spec: Spec) -> tuple[tuple[str, str], ...]:
    """The size codes with their figures; a code that goes by variety has several."""
    found: dict[str, list[str]] = {}
    for band in spec.scale.bands:
        words = band.to.says() + (f" ({', '.join(band.varieties)})" if band.varieties else "")
        found.setdefault(band.name, []).append(words)
    return tuple((name, "; ".join(words)) for name, words in found.items())
