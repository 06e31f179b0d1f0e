"""A block's page: the season in words, what marked fruit down, and every consignment."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.units import say_mass, say_percent
from shedgrade.reports.block import BlockConsignment, BlockReport
from shedgrade.reports.season import Season
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.samples import VoidedLook
from shedgrade.web import block_words as words
from shedgrade.web import ranges
from shedgrade.web.charts import BarChart, BarRow, bar_row, described
from shedgrade.web.not_judged import not_judged
from shedgrade.web.packout_lines import class_name
from shedgrade.web.quick_look_view import LookLine
from shedgrade.web.ranges import Said, percent

LocalDay = Callable[[datetime], date]


@dataclass(frozen=True, slots=True)
class Part:
    """One class in a consignment's bar: where it lies, its pattern (0 makes no class), and what it says."""

    x: float
    width: float
    position: int
    name: str
    said: Said


@dataclass(frozen=True, slots=True)
class ConsignmentLine:
    """One consignment; ``packed`` is None and ``parts`` empty while nobody has looked at it. ``found`` says on how many
    of its fruit the block's defects were found."""

    id: int
    name: str
    market: str
    picked_on: date
    net: str
    looked: str
    found: str
    packed: BarRow | None
    parts: tuple[Part, ...]
    voided_looks: tuple[VoidedLook, ...]


@dataclass(frozen=True, slots=True)
class BlockView:
    """Everything a block's page shows."""

    title: str
    kicker: str
    answer: str
    lead: list[str]
    causes: BarChart | None
    best_classes: str
    causes_note: str
    counted: list[str]
    not_judged: str
    consignments: list[ConsignmentLine]
    by_eye: Mapping[int, list[LookLine]]
    voided: tuple[ConsignmentWhole, ...]
    looked_count: int
    methods: list[str]
    edit_href: str
    to_grower: bool
    id: int


def block_view(
    report: BlockReport, day: LocalDay, by_eye: Mapping[int, list[LookLine]], *, to_grower: bool, may_keep: bool
) -> BlockView:
    """The view of one report; ``day`` tells a moment's day in the shed. ``by_eye`` are the quick looks that stand, by
    consignment: they are read beside the report and are no part of it."""
    block, season = report.found.block, report.season
    whose = words.whose(report, to_grower=to_grower)
    return BlockView(
        title=block.name,
        kicker=block.variety if to_grower else f"{report.found.grower.name}, {block.variety}",
        answer=words.answer(report, season),
        lead=[] if season is None else words.lead(season, whose),
        causes=None if season is None else _causes(season, _best_classes(report)),
        best_classes=_best_classes(report),
        causes_note="" if season is None else words.causes_note(season, _best_classes(report)),
        counted=[] if season is None else words.counted(season),
        not_judged="" if season is None else not_judged(season.fruit_not_judged, season.not_judged, season.n_fruit),
        consignments=[_line(each, season, day) for each in report.consignments],
        by_eye=by_eye,
        voided=report.voided,
        looked_count=sum(each.shares is not None for each in report.consignments),
        methods=_methods(report),
        edit_href=f"/blocks/{block.id}/edit" if may_keep else "",
        to_grower=to_grower,
        id=block.id or 0,
    )


def _best_classes(report: BlockReport) -> str:
    """The best class of the consignments' specs: one name, or several where the markets differ."""
    names = dict.fromkeys(each.spec.classes[0].name for each in report.consignments if each.shares is not None)
    return " or ".join(names)


def _causes(season: Season, best: str) -> BarChart | None:
    if not season.causes:
        return None
    rows = tuple(bar_row(each.cause.name, each.by_number) for each in season.causes)
    first = season.causes[0]
    share = say_percent(first.by_number.value)
    return BarChart(
        id="causes",
        title=f"{first.cause.name.capitalize()} kept {share} of the fruit out of {best}",
        description=described(rows),
        base=f"Share of all fruit delivered, estimated{words.by_load(season)}; the full width is all fruit. "
        "A fruit with two faults counts for both.",
        rows=rows,
    )


def _line(each: BlockConsignment, season: Season | None, day: LocalDay) -> ConsignmentLine:
    whole, shares = each.whole, each.shares
    return ConsignmentLine(
        id=whole.id,
        name=whole.name,
        market=whole.market.name,
        picked_on=day(whole.consignment.picked_to),
        net=say_mass(each.net_g),
        looked="" if shares is None else words.looked(shares),
        found="" if season is None else words.found_on(season, whole.id),
        packed=None if shares is None else bar_row("Into trays", shares.packed_by_number),
        parts=() if shares is None else tuple(_parts(each, shares.classes.items())),
        voided_looks=each.voided_looks,
    )


def _parts(each: BlockConsignment, classes: Iterable[tuple[str | None, Estimate]]) -> Iterator[Part]:
    """The classes side by side, best first; those of which nothing was found are left out."""
    reached = Fraction(0)
    for place, (class_id, estimate) in enumerate(classes, start=1):
        if estimate.value:
            name = "No class" if class_id is None else class_name(each.spec, class_id)
            position = 0 if class_id is None else place
            yield Part(percent(reached), percent(estimate.value), position, name, ranges.share(estimate))
        reached += estimate.value


def _methods(report: BlockReport) -> list[str]:
    found = [each.shares.packed_by_number for each in report.consignments if each.shares is not None]
    season = [] if report.season is None else [report.season.packed_by_number]
    return list(dict.fromkeys(each.method.value for each in [*found, *season]))
