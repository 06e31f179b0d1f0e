"""The pack-out page's view: sentences, charts and table lines of one report."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from shedgrade.domain.sampling.estimate import Estimate, scaled
from shedgrade.domain.units import G_PER_KG, say_mass
from shedgrade.reports.findings import Findings
from shedgrade.reports.packout import PackoutReport
from shedgrade.web import packout_charts as charts
from shedgrade.web import packout_lines as lines
from shedgrade.web import packout_words as words
from shedgrade.web import ranges
from shedgrade.web.charts import BarChart, DotChart
from shedgrade.web.not_judged import not_judged
from shedgrade.web.packout_lines import CellLine, ClassLine, OutletLine
from shedgrade.web.pages import say_day
from shedgrade.web.ranges import Said
from shedgrade.web.weight_chart import WeightChart


class Base(StrEnum):
    """What the class picture's shares are of."""

    WEIGHT = "weight"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Shown:
    """The figures of a consignment that was looked at."""

    looked: str
    pack_out: Said
    fruit: Said
    value: Said
    per_kg: Said
    mix: BarChart
    dots: DotChart | None
    spread: WeightChart
    causes_chart: BarChart | None
    classes: list[ClassLine]
    cells: list[CellLine]
    outlets: list[OutletLine]
    causes_counted: str
    not_judged: tuple[tuple[str, int], ...]
    not_judged_said: str
    unpriced: int
    methods: list[str]


@dataclass(frozen=True, slots=True)
class PackoutView:
    """A consignment's pack-out. ``value_why`` says why there is no value, "" where there is one; ``quote_href`` is ""
    for those who sell nothing and where nothing can be sold; a sample started here is counted for ``start_tray``."""

    title: str
    report: PackoutReport
    received_on: date
    base: Base
    answer: str
    lead: list[str]
    net: str
    best_class: str
    value_why: str
    shown: Shown | None
    may_grade: bool
    quote_href: str
    start_tray: int | None


def packout_view(
    report: PackoutReport,
    received_on: date,
    base: Base,
    *,
    money: bool,
    may_grade: bool,
    may_quote: bool,
    start_tray: int | None,
) -> PackoutView:
    """The view of one report; ``money`` says whether this person may see prices."""
    findings = report.findings
    why = _value_why(report, received_on) if money else "Prices are for the marketer, the shed manager and the grower."
    return PackoutView(
        title=f"Pack-out of {report.whole.name}",
        report=report,
        received_on=received_on,
        base=base,
        answer=words.answer(report),
        lead=[] if findings is None else words.lead(report, findings),
        net=say_mass(report.net_g),
        best_class=report.spec.classes[0].name,
        value_why=why,
        shown=None if findings is None else _shown(report, findings, base, money=not why),
        may_grade=may_grade,
        quote_href=_quote_href(report) if may_quote and findings is not None and report.net_g else "",
        start_tray=start_tray,
    )


def _quote_href(report: PackoutReport) -> str:
    whole = report.whole
    return f"/quotes/new?market={whole.market.id}&consignment={whole.id}"


def _value_why(report: PackoutReport, received_on: date) -> str:
    if report.prices is None:
        return f"{report.whole.market.name} has no price list that was in force on {say_day(received_on)}."
    if report.findings is not None and report.findings.packout.value_minor is None:
        return "None of the fruit looked at has a price in the list of that day."
    return "" if report.net_g else "Nothing was weighed yet."


def _shown(report: PackoutReport, findings: Findings, base: Base, *, money: bool) -> Shown:
    packout = findings.packout
    value = packout.value_minor if money else None
    return Shown(
        looked=ranges.looked_at(packout.n_fruit, packout.n_draws),
        pack_out=ranges.share(packout.pack_out),
        fruit=ranges.number(packout.fruit),
        value=lines.value_said(report, value),
        per_kg=_per_kg(report, value),
        mix=charts.mix(report, findings, by_number=base is Base.NUMBER),
        dots=charts.dots(findings),
        spread=charts.spread(report, findings),
        causes_chart=charts.causes(report, findings),
        classes=lines.class_lines(report, findings, with_value=money),
        cells=lines.cell_lines(report, findings),
        outlets=lines.outlet_lines(report, findings),
        causes_counted=lines.causes_counted(findings),
        not_judged=findings.not_judged,
        not_judged_said=not_judged(findings.fruit_not_judged, findings.not_judged, packout.n_fruit),
        unpriced=packout.unpriced,
        methods=_methods(findings),
    )


def _per_kg(report: PackoutReport, value: Estimate | None) -> Said:
    if value is None or report.prices is None or not report.net_g:
        return lines.NOTHING
    return ranges.money_exact(scaled(value, Fraction(G_PER_KG, report.net_g)), report.prices.currency)


def _methods(findings: Findings) -> list[str]:
    """Every way in which a range of the page was worked out, each once."""
    packout = findings.packout
    shares = [row.by_weight for row in packout.classes]
    estimates = [packout.pack_out, *shares, *(cell.trays for cell in findings.cells)]
    if packout.value_minor is not None:
        estimates.append(packout.value_minor)
    return list(dict.fromkeys(each.method.value for each in estimates))
