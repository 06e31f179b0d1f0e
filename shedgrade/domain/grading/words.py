"""What a limit looks at, in words: the beginning of every sentence about a figure."""

from fractions import Fraction

from shedgrade.domain.bound import Bound, Unit, say, say_exact
from shedgrade.domain.grading.facts import MaturityFigure
from shedgrade.domain.spec.limit import Severity
from shedgrade.domain.spec.measure import COLOUR_STAGE, WEIGHT, Measure, Reference, Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.names import listed, named
from shedgrade.domain.units import Exact, digits


def marks(spec: Spec, measure: Measure, kinds: tuple[str, ...]) -> str:
    """Kinds of defect, and the states that count: "sunburn that is progressive"."""
    names = listed([named(spec, kind) for kind in kinds])
    return f"{names}{in_state(measure)}" if names else ""


def in_state(measure: Measure) -> str:
    """The states that count, behind the kinds: " that is progressive or into flesh"; "" where all do."""
    return f" that is {listed(measure.states, 'or')}" if measure.states else ""


def figure(spec: Spec, measure: Measure, kinds: tuple[str, ...], said: str) -> str:
    """A figure with what it is of: "rub and sunburn together 4.1 cm²", "dry matter 20 %", "colour stage 2"."""
    if measure.take is Take.SEVERITY:
        return f"{named(spec, measure.of[0])} is {said}"
    if measure.take is Take.PRESENT:
        return f"{marks(spec, measure, kinds)}: {said} kinds of defect"
    if measure.take is Take.PLACES:
        return f"{marks(spec, measure, kinds)}: {said} places"
    if not measure.kinds:
        return _of_measures(spec, measure, said)
    names = marks(spec, measure, kinds)
    if measure.take is Take.LARGEST:
        names = f"the largest {'of ' if len(kinds) > 1 else ''}{names}"
    elif len(kinds) > 1:
        names += " together"
    return f"{names} {said}{as_on(spec, measure.as_on)}"


def _of_measures(spec: Spec, measure: Measure, said: str) -> str:
    if measure.of == (WEIGHT,):
        return f"the weight {said}"
    names = [named(spec, name) for name in measure.of]
    if measure.take is Take.RATIO:
        return f"{' to '.join(names)} {said}"
    return f"{listed(names)}{' together' if len(names) > 1 else ''} {said}"


def of_mean(test: MaturityFigure, unit: Unit) -> str:
    """How well a mean is known: "mean of 10 fruit, likely 13.8 % to 16 %"."""
    of = f"{'' if test.fruit == 1 else 'mean of '}{digits(test.fruit)} fruit"
    if test.low is None or test.high is None:
        return of
    return f"{of}, likely {say(test.low, unit)} to {say(test.high, unit)}"


def known(test: MaturityFigure | None, measure: Measure, allowed: Bound) -> str:
    """How well the mean of a test is known, behind it; "" for what is no mean."""
    if test is None:
        return ""
    close = ": too close to tell" if test.close_to(allowed) else ""
    return f" ({of_mean(test, measure.unit)}{close})"


def as_on(spec: Spec, reference: Reference | None) -> str:
    """The fruit an area is scaled to: ", as on a fruit of 63.5 mm diameter,"."""
    if reference is None:
        return ""
    if reference.of == WEIGHT:
        return f", as on a fruit of {say(reference.size, Unit.GRAM)},"
    measure = spec.crop.measure(reference.of)
    return f", as on a fruit of {say(reference.size, measure.unit)} {measure.name},"


def step(severity: Severity, number: Exact) -> str:
    """A step of a severity by its name; past the steps, its number."""
    place = int(number) - 1
    return severity.steps[place].name if 0 <= place < len(severity.steps) else f"step {number}"


def steps_allowed(severity: Severity, allowed: Bound) -> str:
    """What is allowed of a severity: "at most slight is allowed", "none is allowed"."""
    least, most = allowed.whole()
    if most == 0:
        return "none is allowed"
    high = [] if most is None else [f"at most {step(severity, most)}"]
    low = [] if least is None else [f"at least {step(severity, least)}"]
    return f"{' and '.join(low + high)} is allowed"


def end(spec: Spec, measure: Measure, value: Fraction) -> str:
    """The end of a bound on a measure: "4 cm²"; without the unit where the measure is called as its unit."""
    words = say_exact(value, measure.unit)
    own = measure.unit and measure.take is Take.VALUE and named(spec, measure.of[0]) == measure.unit
    return words.removesuffix(measure.unit).rstrip() if own else words


def said(measure: Measure, value: Fraction, name: str = "") -> str:
    """A figure in its unit: "4.6 cm²". A measure that is called as its unit does not say it twice: "Brix 6"."""
    if measure.of == (COLOUR_STAGE,) and measure.take is Take.VALUE:
        return str(value)
    words = say(value, measure.unit)
    return words.removesuffix(measure.unit).rstrip() if measure.unit and name == measure.unit else words
