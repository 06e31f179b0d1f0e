"""A spec as a person reads it: classes, sizes, limits by class and size, outlets, each table with its source."""

from dataclasses import dataclass
from datetime import datetime

from shedgrade.domain.spec.model import NO_CLASS, TOO_HEAVY, TOO_LIGHT, Spec
from shedgrade.domain.spec.scale import Rounding
from shedgrade.storage.tables import SpecVersion
from shedgrade.web.limit_tables import LimitTable, limit_tables, own_source, sentence
from shedgrade.web.size_chart import SizeChart, size_chart

_ROUNDED = {
    Rounding.NONE: "Weights are looked up as they are, to a tenth of a gram.",
    Rounding.HALF_UP_TO_THE_GRAM: "A weight is rounded half up to the gram before it is looked up.",
}
_CASES = {
    TOO_LIGHT: "fruit of a class that is too small for the tray",
    TOO_HEAVY: "fruit of a class that is too big for the tray",
    NO_CLASS: "whatever else makes no class",
}


@dataclass(frozen=True, slots=True)
class BandLine:
    """A size, with its own source where it is not the table's."""

    name: str
    weights: str
    source: str


@dataclass(frozen=True, slots=True)
class OutletLine:
    """An outlet and what goes there."""

    name: str
    packed: bool
    takes: list[str]
    source: str


@dataclass(frozen=True, slots=True)
class SpecView:
    """A spec's page; ``sizes`` is None for a spec without sizes. ``others`` are its other versions."""

    title: str
    spec: Spec
    id: int
    version: int
    published_at: datetime
    sha256: str
    lead: str
    sizes: SizeChart | None
    bands: list[BandLine]
    size_source: str
    size_note: str
    rounding: str
    limits: list[LimitTable]
    outlets: list[OutletLine]
    others: list[SpecVersion]


def spec_view(spec: Spec, row: SpecVersion, others: list[SpecVersion]) -> SpecView:
    """The view of one published version."""
    scale = spec.scale
    return SpecView(
        title=spec.title,
        spec=spec,
        id=row.id or 0,
        version=row.version,
        published_at=row.published_at,
        sha256=row.sha256,
        lead=_lead(spec),
        sizes=size_chart(scale) if scale.bands else None,
        bands=[BandLine(band.name, band.to.says(), own_source(band.source, scale.source)) for band in scale.bands],
        size_source=scale.source.says(),
        size_note=sentence(scale.source.note),
        rounding=_ROUNDED[scale.rounding],
        limits=limit_tables(spec),
        outlets=[
            OutletLine(outlet.name, outlet.packed, [_case(spec, case) for case in outlet.takes], outlet.source.says())
            for outlet in spec.outlets
        ],
        others=others,
    )


def _lead(spec: Spec) -> str:
    classes = ", ".join(each.name for each in spec.classes)
    number = "1 class" if len(spec.classes) == 1 else f"{len(spec.classes)} classes, best first"
    if not spec.scale.bands:
        return f"{number}: {classes}. No size codes."
    names = [band.name for band in spec.scale.bands]
    return f"{number}: {classes}. {len(names)} sizes by weight; {spec.scale.says()}."


def _case(spec: Spec, case: str) -> str:
    return _CASES.get(case) or f"fruit that {spec.limit(case).name} kept out of every class"
