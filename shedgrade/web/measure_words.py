"""What a limit looks at and how its figure is got, in words."""

from shedgrade.domain.bound import Unit, say_exact
from shedgrade.domain.crop import TakenOn
from shedgrade.domain.spec.limit import Severity
from shedgrade.domain.spec.measure import COLOUR_STAGE, WEIGHT, By, Measure, Reference, Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed, named

_OF_A_MARK = {By.AREA: "cm²", By.SHARE: "share of the surface", By.LENGTH: "length"}
_ON = {TakenOn.FRUIT: "", TakenOn.SAMPLE: ", the mean of a maturity test", TakenOn.LOAD: ", one figure for the load"}


def measured(spec: Spec, measure: Measure, name: str) -> str:
    """What is looked at; kinds are left out where ``name`` says them already."""
    how = _HOW[measure.take](spec, measure)
    if not measure.kinds:
        return how
    kinds = [spec.crop.kind(kind).name for kind in measure.kinds]
    return how if kinds == [name] else f"{', '.join(kinds)}: {how}"


def steps_of(spec: Spec, severity: Severity) -> str:
    """What a severity rates."""
    return measured(spec, severity.measure, severity.name)


def _value(spec: Spec, measure: Measure) -> str:
    of = measure.of[0]
    if of in (COLOUR_STAGE, WEIGHT):
        return {COLOUR_STAGE: "the number of the colour stage", WEIGHT: "the weight"}[of]
    return f"{spec.crop.measure(of).name}{_ON[spec.crop.measure(of).on]}"


def _sum(spec: Spec, measure: Measure) -> str:
    if measure.by is None:
        return f"{listed([named(spec, each) for each in measure.of])} added up"
    added = "added up, " if len(measure.of) > 1 else ""
    return f"{added}{_OF_A_MARK[measure.by]}{_narrowed(spec, measure)}"


def _largest(spec: Spec, measure: Measure) -> str:
    by = "" if measure.by is None else f", {_OF_A_MARK[measure.by]}"
    return f"the largest single one{by}{_narrowed(spec, measure)}"


def _places(spec: Spec, measure: Measure) -> str:
    return f"in how many places{_narrowed(spec, measure)}"


def _present(spec: Spec, measure: Measure) -> str:
    how = "how many of them are there" if len(measure.of) > 1 else "there or not"
    return f"{how}{_narrowed(spec, measure)}"


def _ratio(spec: Spec, measure: Measure) -> str:
    return " divided by ".join(named(spec, each) for each in measure.of)


def _severity(spec: Spec, measure: Measure) -> str:
    return f"the step of {named(spec, measure.of[0])}, 0 for none"


def _codes(_spec: Spec, _measure: Measure) -> str:
    return "how many sizes the fruit falls in"


def _spread(spec: Spec, measure: Measure) -> str:
    among = "fruit of the size on the label" if measure.of_label_size else "fruit of one package"
    return f"largest less smallest {named(spec, measure.of[0])} among the {among}"


def _narrowed(spec: Spec, measure: Measure) -> str:
    states = f", only what is {listed(measure.states, 'or')}" if measure.states else ""
    return states if measure.as_on is None else f"{states}, {_as_on(spec, measure.as_on)}"


def _as_on(spec: Spec, reference: Reference) -> str:
    unit = Unit.GRAM if reference.of == WEIGHT else spec.crop.measure(reference.of).unit
    return f"as on a fruit of {say_exact(reference.size, unit)} {named(spec, reference.of)}"


_HOW = {
    Take.VALUE: _value,
    Take.SUM: _sum,
    Take.LARGEST: _largest,
    Take.PLACES: _places,
    Take.PRESENT: _present,
    Take.RATIO: _ratio,
    Take.SEVERITY: _severity,
    Take.CODES: _codes,
    Take.SPREAD: _spread,
}
