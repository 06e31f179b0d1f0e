"""The size table of a spec file, read."""

from shedgrade.domain.bound import Unit
from shedgrade.domain.crop import TakenOn
from shedgrade.domain.source import Source
from shedgrade.domain.spec.known import Known
from shedgrade.domain.spec.measure import WEIGHT
from shedgrade.domain.spec.mistakes import Wrong
from shedgrade.domain.spec.reading import Table
from shedgrade.domain.spec.reading_sources import read_source
from shedgrade.domain.spec.reading_varieties import read_varieties
from shedgrade.domain.spec.scale import Band, Rounding, Scale

_ROUNDED_IN = {
    Rounding.HALF_UP_TO_THE_GRAM: Unit.GRAM,
    Rounding.HALF_UP_TO_THE_MILLIMETRE: Unit.MM,
    Rounding.HALF_UP_TO_THE_WHOLE: Unit.NUMBER,
}


def read_scale(table: Table, known: Known) -> Scale:
    """The size table; a spec without sizes leaves it out."""
    if not table.has("scale"):
        return Scale((), Rounding.NONE, known.source.below())
    scale = table.table("scale")
    source = read_source(scale, known.source)
    of, unit = _of(scale, known)
    count_in = None
    if scale.has("count_in"):
        count_in = scale.quantity("count_in", Unit.GRAM) / Unit.GRAM.base
        if of != WEIGHT:
            scale.refuse("count_in", f'of = "{WEIGHT}" with it, or no count_in')
        unit = Unit.NUMBER
    rounding = _rounding(scale, unit)
    entries = scale.tables("bands")
    bands = tuple(_band(entry, source, unit, known) for entry in entries)
    _once_a_variety(entries, bands)
    scale.done()
    return Scale(bands, rounding, source, of, Unit.GRAM if unit is None else unit, count_in)


def _of(scale: Table, known: Known) -> tuple[str, Unit | None]:
    """What the table goes by, and its unit; None where that cannot be known."""
    if known.crop is None:
        return scale.text("of"), None
    measures = known.measures(TakenOn.FRUIT)
    of = scale.known_word("of", [WEIGHT, *measures])
    return of, measures[of].unit if of in measures else Unit.GRAM if of == WEIGHT else None


def _rounding(scale: Table, unit: Unit | None) -> Rounding:
    fitting = [each for each in Rounding if unit is None or _ROUNDED_IN.get(each, unit) is unit]
    return scale.choice_or_none("rounding", fitting) or Rounding.NONE


def _band(table: Table, above: Source, unit: Unit | None, known: Known) -> Band:
    band = Band(
        name=table.text("name"),
        varieties=read_varieties(table, known),
        to=table.bound("to", list(Unit) if unit is None else [unit]),
        source=read_source(table, above),
    )
    table.done()
    return band


def _once_a_variety(entries: list[Table], bands: tuple[Band, ...]) -> None:
    """A size code may come again for other varieties, never twice for the same fruit."""
    for number, (entry, band) in enumerate(zip(entries, bands, strict=True)):
        same = [other for other in bands[:number] if other.name == band.name and band.name]
        if any(not set(band.varieties).isdisjoint(other.varieties) or not band.varieties for other in same) or any(
            not other.varieties for other in same
        ):
            entry.note("name", f'"{band.name}" a second time', "each one once, or once for each variety", Wrong.TWICE)
