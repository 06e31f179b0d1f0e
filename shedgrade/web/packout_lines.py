"""The lines of a pack-out's tables, said."""

from collections import Counter
from dataclasses import dataclass

from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import CountBand, count_bands
from shedgrade.domain.units import say_weight
from shedgrade.reports.causes import CauseFound
from shedgrade.reports.findings import NO_CLASS, Cell, Findings
from shedgrade.reports.packout import PackoutReport
from shedgrade.web import ranges
from shedgrade.web.ranges import Said

NOTHING = Said("", "")


@dataclass(frozen=True, slots=True)
class ClassLine:
    """A class: fruit found, shares, kilograms and value (empty where not known)."""

    name: str
    found: int
    by_number: Said
    by_weight: Said
    mass: Said
    value: Said


@dataclass(frozen=True, slots=True)
class CellLine:
    """A class and count. The class stands for ``rows`` lines; 0 means that a line above says it already."""

    name: str
    rows: int
    count: str
    weights: str
    found: int
    by_number: Said
    by_weight: Said
    trays: Said


@dataclass(frozen=True, slots=True)
class OutletLine:
    """Fruit of one outlet and reason."""

    outlet_id: str
    name: str
    why: str
    packed: bool
    found: int
    by_number: Said
    by_weight: Said
    mass: Said


def class_lines(report: PackoutReport, findings: Findings, *, with_value: bool) -> list[ClassLine]:
    """Every class, and the fruit of none where there were any."""
    rows = [row for row in findings.packout.classes if row.class_id is not None or findings.found.get(None)]
    return [
        ClassLine(
            name=class_name(report.spec, row.class_id),
            found=findings.found.get(row.class_id, 0),
            by_number=ranges.share(row.by_number),
            by_weight=ranges.share(row.by_weight),
            mass=ranges.kilograms(row.mass_g) if report.net_g else NOTHING,
            value=value_said(report, row.value_minor) if with_value else NOTHING,
        )
        for row in rows
    ]


def cell_lines(report: PackoutReport, findings: Findings) -> list[CellLine]:
    """Every class and count found in the sample."""
    bands = {} if report.tray is None else {band.count: band for band in count_bands(report.tray)}
    of_class = Counter(cell.class_id for cell in findings.cells)
    lines = []
    for cell in findings.cells:
        rows = of_class.pop(cell.class_id, 0)
        lines.append(_cell_line(report, cell, rows, _weights(bands[cell.count])))
    return lines


def _cell_line(report: PackoutReport, cell: Cell, rows: int, weights: str) -> CellLine:
    return CellLine(
        name=class_name(report.spec, cell.class_id),
        rows=rows,
        count=f"{cell.count}s",
        weights=weights,
        found=cell.found,
        by_number=ranges.share(cell.by_number),
        by_weight=ranges.share(cell.by_weight),
        trays=ranges.number(cell.trays) if report.net_g else NOTHING,
    )


def outlet_lines(report: PackoutReport, findings: Findings) -> list[OutletLine]:
    """Where the fruit goes that is not in trays, and why."""
    outlets = {outlet.id: outlet for outlet in report.spec.outlets}
    return [
        OutletLine(
            outlet_id=case.outlet_id,
            name=outlets[case.outlet_id].name,
            why=case.why,
            packed=outlets[case.outlet_id].packed,
            found=case.found,
            by_number=ranges.share(case.by_number),
            by_weight=ranges.share(case.by_weight),
            mass=ranges.kilograms(case.mass_g) if report.net_g else NOTHING,
        )
        for case in findings.outlet_cases
    ]


def causes_counted(findings: Findings) -> str:
    """On how many of the fruit looked at each cause was found."""
    n_fruit = findings.packout.n_fruit
    counted = ", ".join(f"{each.cause.name} {each.found}{_of_fewer(each, n_fruit)}" for each in findings.causes)
    return f"Counted on the {n_fruit} fruit looked at: {counted}."


def _of_fewer(each: CauseFound, n_fruit: int) -> str:
    """How many were looked at for it, where that is not all of them."""
    looked = each.by_number.n_fruit
    return "" if looked == n_fruit else f" of the {looked} looked at for it"


def class_name(spec: Spec, class_id: str | None) -> str:
    """The class's own word, or that it is none."""
    return NO_CLASS.capitalize() if class_id is None else spec.grade_class(class_id).name


def value_said(report: PackoutReport, value: Estimate | None) -> Said:
    """Money at the report's prices; empty without any."""
    if report.prices is None or value is None or not report.net_g:
        return NOTHING
    return ranges.money(value, report.prices.currency)


def _weights(band: CountBand) -> str:
    if band.heaviest_dg is None:
        return f"from {say_weight(band.lightest_dg)}"
    return f"{say_weight(band.lightest_dg)} to {say_weight(band.heaviest_dg)}"
