"""The tree of a spec: plain values in the one canonical order, keys that say nothing left out."""

from fractions import Fraction

from shedgrade.domain.bound import Unit, written_figure
from shedgrade.domain.source import Source
from shedgrade.domain.spec.limit import Days, Level, Limit, Row, Severity, Way
from shedgrade.domain.spec.measure import LABEL_SIZE, WEIGHT, Measure, Reference
from shedgrade.domain.spec.model import Outlet, Spec
from shedgrade.domain.spec.scale import Scale
from shedgrade.domain.spec.tolerance import FruitSet, Part, Tolerance

Tree = dict[str, object]


def tree_of(spec: Spec) -> Tree:
    """The spec as plain dictionaries, lists, texts, whole numbers and flags; equal specs give equal trees."""
    above = spec.source
    return {
        "id": spec.id,
        "title": spec.title,
        "crop": spec.crop.id,
        "edition": spec.edition,
        **_some(notes=list(spec.notes)),
        "source": {key: value for key, value in _source_keys(above) if value},
        "class": [{"id": each.id, "name": each.name} for each in spec.classes],
        **_some(
            scale=_scale(spec.scale, above) if spec.scale.bands else None,
            severity=[_severity(each, above) for each in spec.severities],
            limit=[_limit(each, above) for each in spec.limits],
            set=[_set(each, above) for each in spec.sets],
            tolerance=[_tolerance(each, above) for each in spec.tolerances],
            outlet=[_outlet(each, above) for each in spec.outlets],
        ),
    }


def _some(**pairs: object) -> Tree:
    """The pairs that say something."""
    return {key: value for key, value in pairs.items() if value not in (None, (), [], "", False)}


def _word_or_list(words: tuple[str, ...]) -> object:
    return words[0] if len(words) == 1 else list(words)


def _source_keys(source: Source) -> list[tuple[str, str]]:
    return [
        *(("standard", source.standard), ("edition", source.edition), ("section", source.section)),
        *(("mark", source.mark.value), ("note", source.note), ("address", source.address), ("on", source.on)),
    ]


def _differing(source: Source, above: Source) -> Tree:
    """Only what a source does not inherit; a note is never inherited."""
    inherited = dict(_source_keys(above.below()))
    return {key: value for key, value in _source_keys(source) if value != inherited[key]}


def _scale(scale: Scale, above: Source) -> Tree:
    count_in = scale.count_in_g
    return {
        "of": scale.of,
        "rounding": scale.rounding.value,
        **_some(count_in=None if count_in is None else f"{written_figure(count_in)} {Unit.GRAM}"),
        **_differing(scale.source, above),
        "bands": [
            {
                "name": band.name,
                **_some(variety=_word_or_list(band.varieties)),
                "to": band.to.text(),
                **_differing(band.source, scale.source),
            }
            for band in scale.bands
        ],
    }


def _severity(severity: Severity, above: Source) -> Tree:
    return {
        "id": severity.id,
        "name": severity.name,
        **_measure(severity.measure),
        **_differing(severity.source, above),
        "steps": [
            {"name": step.name, "to": step.to.text(), **_differing(step.source, severity.source)}
            for step in severity.steps
        ],
    }


def _limit(limit: Limit, above: Source) -> Tree:
    return {
        "id": limit.id,
        "name": limit.name,
        **({} if limit.level is Level.FRUIT else {"level": limit.level.value}),
        **_measure(limit.measure),
        **_differing(limit.source, above),
        **_rows(limit.rows, limit.source),
        **_some(or_else=[_way(way, limit.source) for way in limit.or_else]),
    }


def _way(way: Way, above: Source) -> Tree:
    return {**_measure(way.measure), **_rows(way.rows, above)}


def _measure(measure: Measure) -> Tree:
    return {
        "of": _word_or_list(measure.of),
        "take": measure.take.value,
        **_some(
            by=measure.by.value if measure.by else None,
            state=_word_or_list(measure.states),
            as_on=_reference(measure.as_on) if measure.as_on else None,
            among=LABEL_SIZE if measure.of_label_size else None,
        ),
    }


def _reference(reference: Reference) -> Tree:
    unit = Unit.GRAM if reference.of == WEIGHT else Unit.MM
    return {"of": reference.of, "size": f"{written_figure(reference.size / unit.base)} {unit}"}


def _rows(rows: tuple[Row, ...], above: Source) -> Tree:
    """The rows; a single one that says nothing of its own is written as ``to``."""
    if rows == (Row(rows[0].to, above.below()),):
        return {"to": rows[0].to.text()}
    return {"rows": [_row(row, above) for row in rows]}


def _row(row: Row, above: Source) -> Tree:
    guards = {
        "class": _word_or_list(row.classes),
        "size": _word_or_list(row.sizes),
        "variety": _word_or_list(row.varieties),
        "days": _days(row.days) if row.days else None,
        "stage": _word_or_list(row.stages),
        "destination": _word_or_list(row.destinations),
        "grown_in": _word_or_list(row.grown_in),
        "presentation": _word_or_list(row.presentations),
        "when": {when.name: when.bound.text() for when in row.when} or None,
    }
    return {**_some(**guards), "to": row.to.text(), **_differing(row.source, above)}


def _days(days: Days) -> str:
    return " to ".join(f"{month:02d}-{day:02d}" for month, day in (days.first, days.last))


def _set(fruit_set: FruitSet, above: Source) -> Tree:
    return {
        "id": fruit_set.id,
        "name": fruit_set.name,
        **_differing(fruit_set.source, above),
        **_some(below=fruit_set.below, meets=fruit_set.meets, breaks=list(fruit_set.breaks)),
        **_some(as_class=fruit_set.as_class, has=list(fruit_set.has), sets=list(fruit_set.sets)),
        **_some(other_size=fruit_set.other_size),
    }


def _tolerance(tolerance: Tolerance, above: Source) -> Tree:
    basis = tuple(basis.value for basis in tolerance.basis)
    return {
        "id": tolerance.id,
        "name": tolerance.name,
        **_some(**{"class": _word_or_list(tolerance.classes)}),
        "basis": _word_or_list(basis),
        "scope": tolerance.scope.value,
        **_differing(tolerance.source, above),
        **_part(tolerance.part),
    }


def _part(part: Part) -> Tree:
    inner = [{**_part(each), **_differing(each.source, part.source)} for each in part.within]
    return {
        "of": list(part.of),
        "to": part.to.text(),
        **_some(package_times=_times(part.package_times), still=list(part.still)),
        **_some(next_size=part.next_size, within=inner),
    }


def _times(times: Fraction | None) -> object:
    if times is None:
        return None
    return times.numerator if times.denominator == 1 else written_figure(times)


def _outlet(outlet: Outlet, above: Source) -> Tree:
    return {
        "id": outlet.id,
        "name": outlet.name,
        "packed": outlet.packed,
        "takes": list(outlet.takes),
        **_differing(outlet.source, above),
    }
