"""A crop file, read: defect kinds, measures, colour stages."""

from shedgrade.domain.bound import Unit
from shedgrade.domain.crop import ColourStage, Crop, CropMeasure, DefectKind, Measured, TakenOn
from shedgrade.domain.source import Source
from shedgrade.domain.spec.measure import OWN_WORDS
from shedgrade.domain.spec.reading import Table, once
from shedgrade.domain.spec.reading_sources import read_source, read_top_source

_UNITS = tuple(unit for unit in Unit if unit is not Unit.CIRCLES)


def read_crop_table(table: Table) -> Crop:
    """The whole file; mistakes go to the table's notebook."""
    source = read_top_source(table)
    kinds = table.tables("kind")
    measures, stages = table.tables("measure", required=False), table.tables("stage", required=False)
    crop = Crop(
        id=table.id(),
        name=table.text("name"),
        kinds=tuple(_kind(kind, source) for kind in kinds),
        stages=tuple(_stage(stage, source) for stage in stages),
        plausible=table.bound("plausible", [Unit.GRAM]),
        varieties=table.words("varieties", required=False),
        source=source,
        measures=tuple(_measure(measure, source) for measure in measures),
    )
    once([*kinds, *measures], "id", [*(kind.id for kind in crop.kinds), *(each.id for each in crop.measures)])
    once(stages, "number", [str(stage.number) for stage in crop.stages])
    table.done()
    return crop


def _kind(table: Table, above: Source) -> DefectKind:
    kind = DefectKind(
        id=table.own_id(OWN_WORDS),
        name=table.text("name"),
        group=table.text("group"),
        measure=table.choice("measure", Measured),
        source=read_source(table, above),
        states=table.own_words("states"),
    )
    table.done()
    return kind


def _measure(table: Table, above: Source) -> CropMeasure:
    """A measure; its ``on`` says what it is taken on, so the day its source was read is that of the file."""
    unit = table.choice_or_none("unit", _UNITS)
    measure = CropMeasure(
        id=table.own_id(OWN_WORDS),
        name=table.text("name"),
        unit=unit or Unit.NUMBER,
        on=table.choice("on", TakenOn),
        plausible=table.bound("plausible", _UNITS if unit is None else (unit,)),
        source=read_source(table, above, day=False),
    )
    table.done()
    return measure


def _stage(table: Table, above: Source) -> ColourStage:
    stage = ColourStage(
        table.number("number"), table.text("name"), table.text("description"), read_source(table, above)
    )
    table.done()
    return stage
