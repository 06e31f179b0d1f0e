"""A spec file and a crop file, read from TOML; and the one canonical form in which a spec is written.

``read_spec(write_spec(spec)) == spec``. The canonical form is what is hashed, so it must not depend on how the
file was typed: order of keys, spaces and comments do not reach it.

A source is inherited: a limit, band, row or outlet says only what differs from the one above it. A note belongs to
the place where it is written and is not inherited.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from shedgrade.domain.bound import Unit
from shedgrade.domain.crop import ColourStage, Crop, DefectKind, Measured
from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec.limit import Limit, Row
from shedgrade.domain.spec.measure import COLOUR_STAGE, SIZE_CODE, WEIGHT, By, Measure, Take
from shedgrade.domain.spec.mistakes import Mistake, Notebook, SpecMistakes, suggestion
from shedgrade.domain.spec.model import NO_CLASS, TOO_HEAVY, TOO_LIGHT, GradeClass, Outlet, Spec
from shedgrade.domain.spec.reading import Table, once
from shedgrade.domain.spec.scale import Band, Rounding, Scale
from shedgrade.domain.spec.writing import write_spec

__all__ = ["Mistake", "SpecMistakes", "read_crop", "read_spec", "write_spec"]

_OTHER_MEASURES = (WEIGHT, COLOUR_STAGE, SIZE_CODE)


def read_crop(text: str) -> Crop:
    """Read a crop file; SpecMistakes holds every mistake with its line."""
    notebook = Notebook(text)
    table = Table(notebook.parsed(), notebook)
    source = _top_source(table)
    kinds, stages = table.tables("kind"), table.tables("stage", required=False)
    crop = Crop(
        id=table.id(),
        name=table.text("name"),
        kinds=tuple(_kind(kind, source) for kind in kinds),
        stages=tuple(_stage(stage, source) for stage in stages),
        plausible=table.bound("plausible", [Unit.GRAM]),
        varieties=table.words("varieties", required=False),
        source=source,
    )
    once(kinds, "id", [kind.id for kind in crop.kinds])
    once(stages, "number", [str(stage.number) for stage in crop.stages])
    table.done()
    notebook.check()
    return crop


def read_spec(text: str, crops: Mapping[str, Crop]) -> Spec:
    """Read a spec file against the crops known; SpecMistakes holds every mistake with its line."""
    notebook = Notebook(text)
    table = Table(notebook.parsed(), notebook)
    known = _Known.of(table, crops)
    limits = table.tables("limit")
    read_limits = tuple(_limit(limit, known) for limit in limits)
    once(limits, "id", [limit.id for limit in read_limits])
    outlets = _outlets(table, known, [limit.id for limit in read_limits])
    head = (table.id(), table.text("title"), table.text("edition"), table.words("notes", required=False))
    table.done()
    notebook.check()
    spec_id, title, edition, notes = head
    crop = crops[known.crop_id]
    return Spec(spec_id, title, crop, edition, known.classes, known.scale, read_limits, outlets, known.source, notes)


@dataclass(frozen=True, slots=True)
class _Known:
    """What the limits may speak of. ``kinds`` None means the crop itself is unknown, so kinds cannot be checked."""

    crop_id: str
    kinds: dict[str, Measured] | None
    classes: tuple[GradeClass, ...]
    scale: Scale
    source: Source

    @classmethod
    def of(cls, table: Table, crops: Mapping[str, Crop]) -> "_Known":
        source = _top_source(table)
        crop_id = table.text("crop")
        if crop_id and crop_id not in crops:
            table.note("crop", f'"{crop_id}"', suggestion(crop_id, crops))
        kinds = {kind.id: kind.measure for kind in crops[crop_id].kinds} if crop_id in crops else None
        return cls(crop_id, kinds, _classes(table), _scale(table, source), source)

    @property
    def class_ids(self) -> list[str]:
        return [each.id for each in self.classes]

    @property
    def sizes(self) -> list[str]:
        return [band.name for band in self.scale.bands]


def _source(table: Table, above: Source | None) -> Source:
    """The source written in a table, filled up from the one above it; only the topmost must be whole."""
    return Source(
        standard=table.text("standard", above.standard if above else None),
        edition=table.text("edition", above.edition if above else None),
        section=table.text("section", above.section if above else "", may_be_empty=True),
        mark=table.choice("mark", Mark, above.mark if above else None),
        note=table.text("note", "", may_be_empty=True),
    )


def _top_source(table: Table) -> Source:
    entry = table.table("source")
    source = _source(entry, None)
    entry.done()
    return source


def _kind(table: Table, above: Source) -> DefectKind:
    measure = table.choice("measure", Measured)
    kind = DefectKind(table.id(), table.text("name"), table.text("group"), measure, _source(table, above))
    if kind.id in _OTHER_MEASURES:
        table.note("id", f'"{kind.id}"', "another word: this one means a measure of every fruit")
    table.done()
    return kind


def _stage(table: Table, above: Source) -> ColourStage:
    stage = ColourStage(table.number("number"), table.text("name"), table.text("description"), _source(table, above))
    table.done()
    return stage


def _classes(table: Table) -> tuple[GradeClass, ...]:
    entries = table.tables("class")
    classes = tuple(GradeClass(entry.text("id"), entry.text("name")) for entry in entries)
    once(entries, "id", [each.id for each in classes])
    for entry in entries:
        entry.done()
    return classes


def _scale(table: Table, above: Source) -> Scale:
    """The size table; a spec without sizes leaves it out."""
    if not table.has("scale"):
        return Scale((), Rounding.NONE, above.below())
    scale = table.table("scale")
    source = _source(scale, above)
    scale.known("of", [WEIGHT])
    entries = scale.tables("bands")
    bands = tuple(_band(entry, source) for entry in entries)
    once(entries, "name", [band.name for band in bands])
    rounding = scale.choice("rounding", Rounding)
    scale.done()
    return Scale(bands, rounding, source)


def _band(table: Table, above: Source) -> Band:
    band = Band(table.text("name"), table.bound("to", [Unit.GRAM]), _source(table, above))
    table.done()
    return band


def _limit(table: Table, known: _Known) -> Limit:
    source = _source(table, known.source)
    measure = _measure(table, known)
    limit = Limit(table.id(), table.text("name"), measure, _rows(table, measure, source, known), source)
    table.done()
    return limit


def _measure(table: Table, known: _Known) -> Measure:
    take = table.choice("take", Take)
    by = table.choice("by", By) if take is Take.SUM else None
    if take is not Take.SUM and table.has("by"):
        table.refuse("by", 'take = "sum" with it, or no by')
    return Measure(table.known("of", _measurable(take, known, table)), take, by)


def _measurable(take: Take, known: _Known, table: Table) -> Collection[str]:
    """What may be taken that way."""
    if take is Take.VALUE:
        return (WEIGHT, COLOUR_STAGE)
    if take is Take.CODES:
        return (SIZE_CODE,) if known.sizes else ()
    if known.kinds is None:
        return table.words("of")
    return [kind for kind, measured in known.kinds.items() if take is Take.PRESENT or measured is not Measured.PRESENT]


def _rows(table: Table, measure: Measure, source: Source, known: _Known) -> tuple[Row, ...]:
    """The rows, or the one figure for all classes and sizes written as ``to``."""
    if table.has("to") and not table.has("rows"):
        return (Row(table.bound("to", measure.units), source.below()),)
    if table.has("to"):
        table.refuse("to", "either to or rows")
    return tuple(_row(row, measure, source, known) for row in table.tables("rows"))


def _row(table: Table, measure: Measure, above: Source, known: _Known) -> Row:
    row = Row(
        to=table.bound("to", measure.units),
        source=_source(table, above),
        classes=table.known("class", known.class_ids, required=False),
        sizes=table.known("size", known.sizes, required=False),
    )
    table.done()
    return row


def _outlets(table: Table, known: _Known, limits: list[str]) -> tuple[Outlet, ...]:
    entries = table.tables("outlet")
    outlets = tuple(_outlet(entry, known.source, [*limits, TOO_LIGHT, TOO_HEAVY, NO_CLASS]) for entry in entries)
    once(entries, "id", [outlet.id for outlet in outlets])
    taken: set[str] = set()
    for entry, outlet in zip(entries, outlets, strict=True):
        for case in sorted(taken.intersection(outlet.takes)):
            entry.note("takes", f'"{case}" a second time', "each case once: the first outlet already takes it")
        taken.update(outlet.takes)
    if entries and NO_CLASS not in taken:
        table.note("outlet", f'no outlet that takes "{NO_CLASS}"', f'one outlet with takes = ["{NO_CLASS}"]')
    return outlets


def _outlet(table: Table, above: Source, cases: Collection[str]) -> Outlet:
    outlet = Outlet(
        table.id(), table.text("name"), table.flag("packed"), table.known("takes", cases), _source(table, above)
    )
    table.done()
    return outlet
