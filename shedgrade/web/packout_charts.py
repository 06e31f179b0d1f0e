"""The pictures of a pack-out, each titled with its answer."""

from shedgrade.domain.trays.counts import count_bands
from shedgrade.domain.units import THIN
from shedgrade.reports.findings import Findings
from shedgrade.reports.packout import PackoutReport
from shedgrade.web import packout_words as words
from shedgrade.web import ranges
from shedgrade.web.charts import BarChart, DotChart, bar_row, described, hundred_dots
from shedgrade.web.packout_lines import class_name
from shedgrade.web.weight_chart import WeightChart, weight_spread

MOST_BARS = 6


def mix(report: PackoutReport, findings: Findings, *, by_number: bool) -> BarChart:
    """One bar a class, best first, the fruit of none last."""
    rows = [row for row in findings.packout.classes if row.class_id is not None or findings.found.get(None)]
    bars = tuple(
        bar_row(
            class_name(report.spec, row.class_id),
            row.by_number if by_number else row.by_weight,
            0 if row.class_id is None else place,
        )
        for place, row in enumerate(rows, start=1)
    )
    of_what = f"Share of the fruit by {'number' if by_number else 'weight'}"
    looked = ranges.looked_at(findings.packout.n_fruit, findings.packout.n_draws)
    return BarChart(
        id="class-mix",
        title=words.mix_title(report, findings, by_number=by_number),
        description=described(bars),
        base=f"{of_what}, estimated from {looked}. {_hatched(findings)}".strip(),
        rows=bars,
    )


def _hatched(findings: Findings) -> str:
    return "" if findings.packout.n_draws == 1 else "The hatched strip is where 95 of 100 such samples put the truth."


def dots(findings: Findings) -> DotChart | None:
    """How many of a hundred fruit would go into trays."""
    estimate = findings.packed_by_number
    said = ranges.share(estimate)
    title = f"Of 100 fruit, about {said.value.split(THIN)[0]} would go into trays"
    base = "By number of fruit, estimated. Very likely is said of what holds in 95 of 100 such samples."
    return hundred_dots("hundred", title, base, "go into trays", estimate)


def spread(report: PackoutReport, findings: Findings) -> WeightChart:
    """What the fruit weigh, over the counts of the tray."""
    tray = report.tray
    what = f"{tray.name}: the counts its fruit would pack as, whatever their class. " if tray is not None else ""
    base = f"{what}Weighed, {findings.packout.n_fruit} fruit."
    return weight_spread(
        "weights", words.weight_title(findings), base, findings.weights_dg, count_bands(tray) if tray else ()
    )


def causes(report: PackoutReport, findings: Findings) -> BarChart | None:
    """What kept most fruit out of the best class."""
    if not findings.causes:
        return None
    top = findings.causes[:MOST_BARS]
    rows = tuple(bar_row(each.cause.name, each.by_number) for each in top)
    first = top[0]
    best = report.spec.classes[0].name
    return BarChart(
        id="causes",
        title=f"{first.cause.name.capitalize()} kept {ranges.share(first.by_number).value} of the fruit out of {best}",
        description=described(rows),
        base="Share of the fruit, by number, estimated; the full width is all fruit. "
        "A fruit with two faults counts for both.",
        rows=rows,
    )
