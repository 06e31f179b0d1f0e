"""The one canonical written form of a spec, in TOML."""

import json
from collections.abc import Iterable

from shedgrade.domain.source import Source
from shedgrade.domain.spec.limit import Limit, Row
from shedgrade.domain.spec.measure import WEIGHT
from shedgrade.domain.spec.model import Outlet, Spec
from shedgrade.domain.spec.scale import Band, Scale


def write_spec(spec: Spec) -> str:
    """The canonical text of a spec; equal specs give equal texts."""
    blocks = [
        _block("", _head(spec)),
        _block("[source]", _whole(spec.source)),
        *(_block("[[class]]", [("id", _text(each.id)), ("name", _text(each.name))]) for each in spec.classes),
        *([_block("[scale]", _scale(spec.scale, spec.source))] if spec.scale.bands else []),
        *(_block("[[limit]]", _limit(limit, spec.source)) for limit in spec.limits),
        *(_block("[[outlet]]", _outlet(outlet, spec.source)) for outlet in spec.outlets),
    ]
    return "\n".join(blocks)


_Pairs = list[tuple[str, str]]


def _block(heading: str, pairs: _Pairs) -> str:
    lines = [heading] if heading else []
    return "".join(f"{line}\n" for line in lines + [f"{key} = {value}" for key, value in pairs])


def _head(spec: Spec) -> _Pairs:
    head = [("id", spec.id), ("title", spec.title), ("crop", spec.crop.id), ("edition", spec.edition)]
    notes = [("notes", _lines(_text(note) for note in spec.notes))] if spec.notes else []
    return [(key, _text(value)) for key, value in head] + notes


def _scale(scale: Scale, above: Source) -> _Pairs:
    bands = _lines(_inline(_band(band, scale.source)) for band in scale.bands)
    return [
        ("of", _text(WEIGHT)),
        ("rounding", _text(scale.rounding)),
        *_differing(scale.source, above),
        ("bands", bands),
    ]


def _band(band: Band, above: Source) -> _Pairs:
    return [("name", _text(band.name)), ("to", _text(band.to.text())), *_differing(band.source, above)]


def _limit(limit: Limit, above: Source) -> _Pairs:
    measure = limit.measure
    return [
        ("id", _text(limit.id)),
        ("name", _text(limit.name)),
        ("of", _one_or_list(measure.of)),
        ("take", _text(measure.take)),
        *([("by", _text(measure.by))] if measure.by is not None else []),
        *_differing(limit.source, above),
        _rows(limit),
    ]


def _rows(limit: Limit) -> tuple[str, str]:
    """The rows; a single one that says nothing of its own is written as ``to``."""
    first = limit.rows[0]
    if limit.rows == (Row(first.to, limit.source.below()),):
        return "to", _text(first.to.text())
    return "rows", _lines(_inline(_row(row, limit.source)) for row in limit.rows)


def _row(row: Row, above: Source) -> _Pairs:
    return [
        *([("class", _one_or_list(row.classes))] if row.classes else []),
        *([("size", _one_or_list(row.sizes))] if row.sizes else []),
        ("to", _text(row.to.text())),
        *_differing(row.source, above),
    ]


def _outlet(outlet: Outlet, above: Source) -> _Pairs:
    return [
        ("id", _text(outlet.id)),
        ("name", _text(outlet.name)),
        ("packed", "true" if outlet.packed else "false"),
        ("takes", _list(outlet.takes)),
        *_differing(outlet.source, above),
    ]


def _whole(source: Source) -> _Pairs:
    pairs = [("standard", source.standard), ("edition", source.edition), ("section", source.section)]
    pairs += [("mark", source.mark), ("note", source.note)]
    return [(key, _text(value)) for key, value in pairs if value]


def _differing(source: Source, above: Source) -> _Pairs:
    """Only what a source does not inherit; a note is never inherited."""
    inherited = above.below()
    pairs = [
        ("standard", source.standard, inherited.standard),
        ("edition", source.edition, inherited.edition),
        ("section", source.section, inherited.section),
        ("mark", source.mark, inherited.mark),
        ("note", source.note, inherited.note),
    ]
    return [(key, _text(value)) for key, value, same in pairs if value != same]


def _inline(pairs: _Pairs) -> str:
    return f"{{ {', '.join(f'{key} = {value}' for key, value in pairs)} }}"


def _lines(values: Iterable[str]) -> str:
    return "".join(["[\n", *(f"  {value},\n" for value in values), "]"])


def _list(words: tuple[str, ...]) -> str:
    return f"[{', '.join(_text(word) for word in words)}]"


def _one_or_list(words: tuple[str, ...]) -> str:
    return _text(words[0]) if len(words) == 1 else _list(words)


def _text(value: str) -> str:
    """A TOML basic string. JSON's escapes are TOML's too; control signs never get into a spec."""
    return json.dumps(str(value), ensure_ascii=False)
