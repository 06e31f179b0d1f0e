"""The page of size breaks in words: the best ones, what they give away, and the common ways beside them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from shedgrade.domain.trays.breaks import Breaks
from shedgrade.domain.trays.counts import CountBand
from shedgrade.domain.trays.giveaway import CountGiveaway, Trays
from shedgrade.domain.units import DG_PER_G, THIN, digits, say_about_money, say_mass, say_percent, say_weight
from shedgrade.reports.size_breaks import BreaksReport, Way
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.web import ranges
from shedgrade.web.ranges import Said
from shedgrade.web.size_breaks_form import RULES
from shedgrade.web.weight_chart import WeightChart, weight_spread

_NOTHING = Said("none", "")
_FEW_FRUIT = 100


@dataclass(frozen=True, slots=True)
class CountLine:
    """One count under the best breaks. ``elsewhere`` is where other samples would have put its break, "" where they
    all agree."""

    count: int
    lower: str
    elsewhere: str
    share: str
    mean: str
    over: str
    over_share: str
    short: str
    trays: str
    given: str


@dataclass(frozen=True, slots=True)
class WayLine:
    """One way to set the breaks: where they are, whether its trays keep the rule, and what they give away."""

    name: str
    breaks: str
    keeps_rule: bool
    over: Said
    over_share: Said
    short: Said
    left_out: str
    given: Said | None


@dataclass(frozen=True, slots=True)
class BreaksFound:
    """What was found; the counts in ``empty`` get no fruit."""

    counts: tuple[CountLine, ...]
    empty: tuple[int, ...]
    ways: tuple[WayLine, ...]
    spread: WeightChart
    looked: str
    per: str
    methods: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BreaksPart:
    """What is asked of size breaks, and what was found. ``closed`` says why none can be found; ``action`` is where the
    form goes; ``priced`` says whose prices count, "" where none do; ``error_found`` what fruit weighed twice say of the
    sizer."""

    action: str
    answer: str = "Where should the breaks stand?"
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    trays: tuple[tuple[str, str], ...] = ()
    classes: tuple[tuple[str, str], ...] = ()
    texts: tuple[tuple[str, str], ...] = ()
    rules: tuple[tuple[str, str], ...] = RULES
    has_prices: bool = False
    priced: str = ""
    closed: str = ""
    few: str = ""
    error_found: str = ""
    found: BreaksFound | None = None


@dataclass(frozen=True, slots=True)
class BreaksView:
    """Size breaks of a consignment; ``run_id`` is the run that packs it now, 0 without one."""

    title: str
    whole: ConsignmentWhole
    part: BreaksPart
    run_id: int = 0

    @property
    def errors(self) -> Mapping[str, str]:
        """The mistakes of the form."""
        return self.part.errors


def answer_of(report: BreaksReport) -> str:
    """The sentence on top: the best breaks beside net weight over count."""
    best, plain = report.best.sampled.found, report.plain.sampled.found
    if best.giveaway_g is None or plain.giveaway_g is None:
        return "No tray can be filled by this rule with these fruit."
    return (
        f"Trays would carry about {_grams(best.giveaway_g)} over their label, "
        f"with breaks at net weight over count {_grams(plain.giveaway_g)}."
    )


def few_fruit(report: BreaksReport) -> str:
    """A warning where the fruit are few; "" else."""
    fruit = len(report.weights_dg)
    if fruit >= _FEW_FRUIT and report.n_draws > 1:
        return ""
    return (
        f"Only {ranges.looked_at(fruit, report.n_draws)}: the breaks may well belong elsewhere. Pack 20 trays by them "
        "and weigh each before you keep them."
    )


def breaks_found(report: BreaksReport, day_g: int | None, currency: str) -> BreaksFound:
    """The figures of a report; money in ``currency``, "" where none is shown."""
    counts = report.best.sampled.found.counts
    return BreaksFound(
        counts=tuple(
            _count_line(report, place, each, each.trays, currency) for place, each in enumerate(counts) if each.trays
        ),
        empty=tuple(each.count for each in counts if each.trays is None),
        ways=tuple(_way_line(way, currency) for way in report.ways),
        spread=_spread(report),
        looked=ranges.looked_at(len(report.weights_dg), report.n_draws),
        per=f"of {say_mass(day_g)} a day" if day_g else "of the fruit looked at",
        methods=tuple(_methods(report)),
    )


def _count_line(report: BreaksReport, place: int, found: CountGiveaway, trays: Trays, currency: str) -> CountLine:
    given = trays.given_minor if currency else None
    return CountLine(
        count=found.count,
        lower=say_weight(found.low_dg),
        elsewhere=_elsewhere(report.others, place, found.low_dg),
        share=say_percent(Fraction(found.share), 1),
        mean=say_mass(Fraction(trays.mean_g), 3),
        over=_grams(trays.giveaway_g),
        over_share=say_percent(Fraction(trays.giveaway), 1),
        short=say_percent(Fraction(trays.short), 1),
        trays=digits(Fraction(trays.trays)),
        given="" if given is None else say_about_money(Fraction(given), currency),
    )


def _elsewhere(others: tuple[Breaks, ...], place: int, low_dg: int) -> str:
    edges = [each.edges_dg[place] for each in others]
    if set(edges) <= {low_dg}:
        return ""
    return f"{say_weight(min(edges))} to {say_weight(max(edges))}"


def _way_line(way: Way, currency: str) -> WayLine:
    sampled, found = way.sampled, way.sampled.found
    over = sampled.estimate(lambda each: each.giveaway_g)
    over_share = sampled.estimate(lambda each: each.giveaway)
    short = sampled.estimate(lambda each: each.short, share=True)
    given = sampled.estimate(lambda each: each.given_minor) if currency else None
    return WayLine(
        name=way.name,
        breaks=", ".join(_bare(edge) for edge in way.breaks.edges_dg) + f"{THIN}g",
        keeps_rule=found.keeps_rule,
        over=_NOTHING if over is None else ranges.grams(over),
        over_share=_NOTHING if over_share is None else ranges.small_share(over_share),
        short=_NOTHING if short is None else ranges.small_share(short),
        left_out=say_percent(Fraction(found.too_light + found.too_heavy), 1),
        given=None if given is None else ranges.money(given, currency),
    )


def _spread(report: BreaksReport) -> WeightChart:
    best = report.best
    bands = tuple(_bands(best.breaks))
    under = {each.count: _signed(each) for each in best.sampled.found.counts}
    edges = [each.low_dg for each in best.sampled.found.counts if each.trays]
    title = f"Breaks at {', '.join(_bare(edge) for edge in edges)}{THIN}g"
    base = f"Weighed, {len(report.weights_dg)} fruit. Under each count, what its mean tray carries over the label."
    return weight_spread("breaks", title, base, report.weights_dg, bands, under)


def _bands(breaks: Breaks) -> list[CountBand]:
    highs = (breaks.top_dg, *breaks.edges_dg)
    return [
        CountBand(count, low, None if high is None else high - 1)
        for count, low, high in zip(breaks.counts, breaks.edges_dg, highs, strict=False)
        if high is None or low < high
    ]


def _methods(report: BreaksReport) -> list[str]:
    said = (way.sampled.estimate(lambda each: each.giveaway_g) for way in report.ways)
    return list(dict.fromkeys(each.method.value for each in said if each is not None))


def _signed(found: CountGiveaway) -> str:
    if found.trays is None:
        return ""
    over_g = found.trays.giveaway_g
    return f"{'−' if over_g < 0 else '+'}{digits(Fraction(abs(over_g)))}{THIN}g"


def _grams(over_g: float) -> str:
    return f"{digits(Fraction(over_g))}{THIN}g"


def _bare(weight_dg: int) -> str:
    return digits(Fraction(weight_dg, DG_PER_G), 1, trim=True)
