"""A spec as a person reads it: classes, sizes, limits by class and size, tolerances, outlets, each with its source."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

from shedgrade.domain.bound import Unit
from shedgrade.domain.people import Person
from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.measure import WEIGHT
from shedgrade.domain.spec.model import NO_CLASS, TOO_HEAVY, TOO_LIGHT, Spec
from shedgrade.domain.spec.scale import Rounding, Scale
from shedgrade.domain.spec.values import Value, with_sources
from shedgrade.domain.units import digits
from shedgrade.storage.spec_confirmations import Confirmed
from shedgrade.web.limit_tables import LimitTable, limit_tables, own_words, sentence
from shedgrade.web.measure_words import steps_of
from shedgrade.web.size_chart import SizeChart, size_chart
from shedgrade.web.tolerance_words import SetLine, ToleranceLine, set_lines, tolerance_lines

_ROUNDED = {
    Rounding.NONE: "Figures are looked up as they are.",
    Rounding.HALF_UP_TO_THE_GRAM: "A weight is rounded half up to the gram before it is looked up.",
    Rounding.HALF_UP_TO_THE_MILLIMETRE: "A figure is rounded half up to the millimetre before it is looked up.",
    Rounding.HALF_UP_TO_THE_WHOLE: "A figure is rounded half up to the whole number before it is looked up.",
}
_CASES = {
    TOO_LIGHT: "fruit of a class that is too small for the tray",
    TOO_HEAVY: "fruit of a class that is too big for the tray",
    NO_CLASS: "whatever else makes no class",
}
_LEVELS = {
    Level.FRUIT: ("Limits", "up to how much, class by class"),
    Level.PACKAGE: ("In one package", "how alike the fruit of a package are"),
    Level.TOLERATED: ("Of tolerated fruit", "what fruit let in by a tolerance must still hold"),
}


@dataclass(frozen=True, slots=True)
class BandLine:
    """A size, with its own source where it is not the table's."""

    name: str
    figures: str
    varieties: str
    source: str


@dataclass(frozen=True, slots=True)
class Sizes:
    """The size table: what is looked up, a drawing for each group of varieties (title "" where there is one), and the
    bands."""

    of: str
    charts: list[tuple[str, SizeChart]]
    bands: list[BandLine]
    source: str
    note: str
    rounding: str


@dataclass(frozen=True, slots=True)
class OutletLine:
    """An outlet and what goes there."""

    name: str
    packed: bool
    takes: list[str]
    source: str


@dataclass(frozen=True, slots=True)
class SeverityLine:
    """A rating of faults: what it rates, and its steps, milder first, with figures and their own sources."""

    name: str
    measured: str
    steps: list[tuple[str, str, str]]
    source: str


@dataclass(frozen=True, slots=True)
class LimitGroup:
    """The limits of one level."""

    title: str
    note: str
    tables: list[LimitTable]


@dataclass(frozen=True, slots=True)
class SpecBody:
    """A spec to read; ``sizes`` is None for a spec without sizes."""

    spec: Spec
    lead: str
    sizes: Sizes | None
    limits: list[LimitGroup]
    severities: list[SeverityLine]
    sets: list[SetLine]
    tolerances: list[ToleranceLine]
    outlets: list[OutletLine]


def spec_body(spec: Spec) -> SpecBody:
    """The spec in tables, drawings and sentences."""
    groups = [LimitGroup(*_LEVELS[level], limit_tables(spec, level)) for level in Level]
    return SpecBody(
        spec=spec,
        lead=_lead(spec),
        sizes=_sizes(spec) if spec.scale.bands else None,
        limits=[group for group in groups if group.tables],
        severities=_severities(spec),
        sets=set_lines(spec),
        tolerances=tolerance_lines(spec),
        outlets=[
            OutletLine(outlet.name, outlet.packed, [_case(spec, case) for case in outlet.takes], outlet.source.says())
            for outlet in spec.outlets
        ],
    )


def confirmed_in(spec: Spec, confirmed: dict[str, Confirmed], day: Callable[[date], str], reader: Person) -> Spec:
    """The spec with what somebody has read said to be read, by whom as far as the reader may know, when and where, in
    place of "from memory"."""

    def told(value: Value) -> Source:
        held = confirmed.get(value.place)
        if held is None or value.source.mark is not Mark.FROM_MEMORY:
            return value.source
        said = f"confirmed by {held.by.told_to(reader)}, read on {day(held.row.read_on)} in {held.row.read_in}"
        return replace(value.source, mark=Mark.READ, note="; ".join(filter(None, (value.source.note, said))))

    return with_sources(spec, told)


def _lead(spec: Spec) -> str:
    classes = ", ".join(each.name for each in spec.classes)
    number = "1 class" if len(spec.classes) == 1 else f"{len(spec.classes)} classes, best first"
    if not spec.scale.bands:
        return f"{number}: {classes}. No size codes."
    return f"{number}: {classes}. {len(spec.scale.names)} sizes by {_looked_up(spec)}; {spec.scale.says()}."


def _looked_up(spec: Spec) -> str:
    scale = spec.scale
    if scale.count_in_g is not None:
        return f"how many fruit make {digits(scale.count_in_g, 0)} g"
    return "weight" if scale.of == WEIGHT else spec.crop.measure(scale.of).name


def _sizes(spec: Spec) -> Sizes:
    scale = spec.scale
    return Sizes(
        of=_looked_up(spec),
        charts=_charts(scale),
        bands=[
            BandLine(band.name, band.to.says(), ", ".join(band.varieties), own_words(band.source, scale.source))
            for band in scale.bands
        ],
        source=scale.source.says(),
        note=sentence(scale.source.note),
        rounding=_ROUNDED[scale.rounding],
    )


def _charts(scale: Scale) -> list[tuple[str, SizeChart]]:
    """One drawing, or one for each group of varieties with bands of its own: their bands lie over each other."""
    groups = list(dict.fromkeys(band.varieties for band in scale.bands if band.varieties))
    if not groups:
        return [("", size_chart(_shown(scale)))]
    return [
        (
            ", ".join(group),
            size_chart(_shown(replace(scale, bands=tuple(b for b in scale.bands if b.varieties in ((), group))))),
        )
        for group in groups
    ]


def _shown(scale: Scale) -> Scale:
    """Bands that count fruit in a mass are drawn on a line of such counts."""
    return scale if scale.count_in_g is None else replace(scale, unit=Unit.NUMBER)


def _severities(spec: Spec) -> list[SeverityLine]:
    return [
        SeverityLine(
            each.name,
            steps_of(spec, each),
            [(step.name, step.to.says(), own_words(step.source, each.source)) for step in each.steps],
            each.source.says(),
        )
        for each in spec.severities
    ]


def _case(spec: Spec, case: str) -> str:
    return _CASES.get(case) or f"fruit that {spec.limit(case).name} kept out of every class"
