"""What is measured, written for the tablet: how each figure of the plan is got, and how it is said."""

from shedgrade.domain import units
from shedgrade.domain.bound import Unit
from shedgrade.domain.crop import CropMeasure, TakenOn
from shedgrade.domain.grading import words
from shedgrade.domain.grading.facts import Load, blemish_surface_mm2
from shedgrade.domain.grading.plan import Plan, high_end, low_end
from shedgrade.domain.grading.tablet.plain import Plain, ends, filled, pair
from shedgrade.domain.grading.takes import kinds_in, per_written
from shedgrade.domain.spec.limit import Severity, Step
from shedgrade.domain.spec.measure import WEIGHT, Measure, Reference, Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import named
from shedgrade.domain.spec.scale import Band


def figures_of(plan: Plan) -> list[Plain]:
    """The figures by their place in the plan."""
    return [_figure(measure, plan.spec) for measure in plan.measured[: len(plan.takers)]]


def measures_of(spec: Spec, load: Load) -> Plain:
    """The measures of the crop by id: those of a fruit with what makes a base unit, those of the load with their mean
    where one was taken."""
    return {measure.id: _measure(measure, load) for measure in spec.crop.measures}


def _measure(measure: CropMeasure, load: Load) -> Plain:
    said = filled(name=measure.name, unit=measure.unit.value)
    if measure.on is TakenOn.FRUIT:
        return {**said, "per": measure.per_base}
    mean = next((each.mean for each in load.tests if each.measure == measure.id), None)
    return {**said, "mean": None if mean is None else pair(mean)}


def _figure(measure: Measure, spec: Spec) -> Plain:
    if measure.take is Take.SEVERITY:
        return _severity(next(each for each in spec.severities if each.id == measure.of[0]), spec)
    if measure.take is Take.CODES:
        return {"take": measure.take.value}
    unit = filled(unit=measure.unit.value)
    if measure.kinds:
        return {"take": measure.take.value, **_marks(measure, spec), **unit}
    ratio = measure.take is Take.RATIO
    return {
        "take": Take.RATIO.value if ratio else Take.VALUE.value,
        "of": list(measure.of),
        **filled(
            times=pair(per_written(measure, spec)) if ratio else None,
            before=words.figure(spec, measure, (), ""),
            bare=bool(measure.unit) and named(spec, measure.of[0]) == measure.unit,
        ),
        **unit,
    }


def _marks(measure: Measure, spec: Spec) -> Plain:
    return filled(
        by=None if measure.by is None else measure.by.value,
        kinds=list(kinds_in(measure, spec)),
        states=list(measure.states),
        that=words.in_state(measure),
        as_on=None if measure.as_on is None else _as_on(measure.as_on),
        behind=words.as_on(spec, measure.as_on),
    )


def _as_on(reference: Reference) -> Plain:
    """The fruit of reference: its size, or where that is a weight, its surface."""
    if reference.of == WEIGHT:
        return {"of": WEIGHT, "surface": blemish_surface_mm2(units.round_half_up(reference.size))}
    return {"of": reference.of, "size": pair(reference.size)}


def _severity(severity: Severity, spec: Spec) -> Plain:
    return {
        "take": Take.SEVERITY.value,
        "id": severity.id,
        "name": severity.name,
        "figure": _figure(severity.measure, spec),
        "steps": [_named(step) for step in severity.steps],
    }


def _named(each: Step | Band) -> Plain:
    return {"name": each.name, **ends(low_end(each.to), high_end(each.to))}


def sizes_of(plan: Plan) -> Plain:
    """The size table for the variety of the load, and how it is said. ``perhaps`` are the bands of single varieties
    where none was said."""
    scale, variety = plan.spec.scale, plan.load.variety
    ours = [band for band in scale.bands if not band.varieties or variety in band.varieties]
    others = [band for band in scale.bands if band.varieties and variety is None]
    by_weight = scale.of == WEIGHT
    return {
        "of": scale.of,
        "codes": list(scale.names),
        "bands": [_named(band) for band in ours],
        **filled(
            step=scale.step,
            in_dg=None if scale.count_in_g is None else pair(scale.count_in_g * units.DG_PER_G),
            perhaps=[_named(band) for band in others],
            name="" if by_weight else named(plan.spec, scale.of),
            unit=Unit.GRAM.value if by_weight else scale.unit.value,
            in_mass="" if scale.count_in_g is None else units.say_mass(scale.count_in_g, 2, trim=True),
            says=scale.says(),
        ),
    }
