"""Tolerances and the sets of fruit they count, as sentences: "at most 10 % of a lot, by number, may be ..."."""

from collections.abc import Iterator
from dataclasses import dataclass

from shedgrade.domain.grading.lot_verdict import is_number
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed
from shedgrade.domain.spec.tolerance import FruitSet, Part, Scope, Tolerance
from shedgrade.domain.units import digits
from shedgrade.web.limit_tables import own_source

_EACH = {Scope.LOT: "a lot", Scope.PACKAGE: "each package", Scope.SAMPLE: "the sample"}
_WHOLE = {scope: f"the whole {scope}" for scope in Scope}
_WITH = "with "


@dataclass(frozen=True, slots=True)
class PartLine:
    """One figure of a tolerance as a sentence, with its own source and note, and what stands inside it."""

    says: str
    source: str
    note: str
    within: list["PartLine"]


@dataclass(frozen=True, slots=True)
class ToleranceLine:
    """A tolerance: of which classes, and its sentences."""

    name: str
    classes: str
    part: PartLine
    source: str


@dataclass(frozen=True, slots=True)
class SetLine:
    """A set of fruit: what is in it."""

    name: str
    says: str
    source: str


def tolerance_lines(spec: Spec) -> list[ToleranceLine]:
    """Every tolerance of the spec."""
    return [
        ToleranceLine(
            each.name,
            listed([spec.grade_class(class_id).name for class_id in each.classes]) or "every class",
            _top(spec, each),
            each.source.says(),
        )
        for each in spec.tolerances
    ]


def set_lines(spec: Spec) -> list[SetLine]:
    """Every set of the spec."""
    return [
        SetLine(each.name, f"fruit that {'; or '.join(_conditions(spec, each))}", each.source.says())
        for each in spec.sets
    ]


def _top(spec: Spec, tolerance: Tolerance) -> PartLine:
    whole = f"{_EACH[tolerance.scope]}, by {listed(tolerance.basis, 'or')},"
    return _part(spec, tolerance.part, whole, tolerance)


def _part(spec: Spec, part: Part, whole: str, tolerance: Tolerance, around: Part | None = None) -> PartLine:
    """``whole`` is what the share is a share of; ``around`` the part that this one stands inside."""
    above = tolerance.source if around is None else around.source
    much = f"{part.to.says()}{' fruit' if is_number(part.to) else ''} of {whole}"
    if part.to.is_nil:
        much = f"none of {whole}" if around is None else "none"
    verb = "may" if part.to.low is None else "must"
    says = f"{much} {verb} {_being(spec, part.of, 'be', 'have')}{_besides(spec, part)}"
    note = part.source.note if part.source.note != above.note else ""
    inner = [_part(spec, each, _WHOLE[tolerance.scope], tolerance, part) for each in part.within]
    return PartLine(says, own_source(part.source, above), note, inner)


def _besides(spec: Spec, part: Part) -> str:
    times = part.package_times
    package = "" if times is None else f"; a single package may hold up to {digits(times, 2, trim=True)} times that"
    names = [f"“{spec.limit(each).name}”" for each in part.still]
    must = ["be of the next size up or down"] if part.next_size else []
    must += [f"keep to the limit{'s' if len(names) > 1 else ''} {listed(names)}"] if names else []
    return f"{package}; even these must {' and '.join(must)}" if must else package


def _conditions(spec: Spec, fruit_set: FruitSet) -> Iterator[str]:
    if fruit_set.below is not None:
        yield f"do not make {spec.grade_class(fruit_set.below).name}"
    if fruit_set.meets is not None:
        yield f"make {spec.grade_class(fruit_set.meets).name} or better"
    if fruit_set.breaks:
        yield f"break {_limits(spec, fruit_set)}"
    if fruit_set.has:
        yield f"have any {listed([spec.crop.kind(each).name for each in fruit_set.has], 'or')}"
    if fruit_set.sets:
        yield _being(spec, fruit_set.sets, "are", "have")
    if fruit_set.other_size:
        yield "are not of the size on the label"


def _limits(spec: Spec, fruit_set: FruitSet) -> str:
    """What is broken: "the limit of weight for Class I", "one of these limits for Class I: skin marks, shape"."""
    whom = "" if fruit_set.as_class is None else f" for {spec.grade_class(fruit_set.as_class).name}"
    names = [spec.limit(each).name for each in fruit_set.breaks]
    return f"the limit of {names[0]}{whom}" if len(names) == 1 else f"one of these limits{whom}: {', '.join(names)}"


def _being(spec: Spec, sets: tuple[str, ...], be: str, have: str) -> str:
    """What fruit of these sets are or have: "be below Class I", "have rot" of a set called "with rot"."""
    names = {each.id: each.name for each in spec.sets}
    said = [
        f"{have} {names[each].removeprefix(_WITH)}" if names[each].startswith(_WITH) else f"{be} {names[each]}"
        for each in sets
    ]
    return listed(said, "or")
