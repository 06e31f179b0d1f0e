"""The answer for one fruit: its class, its count, and for every class it missed the reason why.

The pieces are kept as data; the sentences are made from them here and in ``words``, nowhere else.
"""

from dataclasses import dataclass, replace
from fractions import Fraction

from shedgrade.domain import units
from shedgrade.domain.bound import Bound, Unit, say
from shedgrade.domain.grading import words
from shedgrade.domain.grading.facts import MaturityFigure
from shedgrade.domain.grading.takes import kind_of_state
from shedgrade.domain.source import Source
from shedgrade.domain.spec.measure import WEIGHT, Measure, Take
from shedgrade.domain.spec.model import Outlet, Spec
from shedgrade.domain.spec.names import listed, named
from shedgrade.domain.trays.counts import CountResult
from shedgrade.domain.units import Exact


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a fruit missed a class: the limit, what was measured, what is allowed, and where that figure stands.

    ``value`` is in base units (decigrams, mm², share of one, plain number). ``at_least`` says that more may be
    there: a kind was not looked for, or was seen without being measured. ``kinds`` holds only the kinds that were
    there. ``size_code`` and ``variety`` are given when the row speaks of sizes and varieties, ``guards`` is what else
    it speaks of, in words. ``sized_by`` is the figure that the size table looks up, where the limit is on size codes.
    ``test`` is the maturity test whose mean was measured. A limit that can be satisfied in several ways has the others
    in ``others``.
    """

    class_id: str
    limit_id: str
    limit_name: str
    measure: Measure
    kinds: tuple[str, ...]
    value: Fraction
    at_least: bool
    allowed: Bound
    size_code: str | None
    variety: str | None
    guards: str
    sized_by: Exact | None
    source: Source
    test: MaturityFigure | None = None
    others: tuple["Reason", ...] = ()

    def beside(self, others: tuple["Reason", ...]) -> "Reason":
        """The same with the other ways that were tried in vain."""
        return replace(self, others=others)

    @property
    def ways(self) -> tuple["Reason", ...]:
        """Itself and the others."""
        return (self, *self.others)

    @property
    def all_kinds(self) -> tuple[str, ...]:
        """The kinds that were there, of all ways, each once."""
        return tuple(dict.fromkeys(kind for way in self.ways for kind in way.kinds)) if self.others else self.kinds

    def says(self, spec: Spec) -> str:
        """The whole sentence: "Not Class I because sap stain 4.6 cm² is over 4 cm² for size B"."""
        return f"Not {spec.grade_class(self.class_id).name} because {self.clause(spec)}"

    def clause(self, spec: Spec) -> str:
        """What stopped it, without the class: "sap stain 4.6 cm² is over 4 cm² for size B"."""
        return " and ".join(way.own_clause(spec) for way in self.ways)

    def own_clause(self, spec: Spec) -> str:
        """What stopped this one way."""
        if self.measure.take is Take.CODES:
            return self._sizes(spec)
        return f"{self._said(spec)}{self._whom()}{', ' if self.guards else ''}{self.guards}"

    def measured(self, spec: Spec) -> str:
        """The measured figure in words: "4.6 cm²", "at least 3 %", the name of a severity's step."""
        if self.measure.take is Take.SEVERITY:
            severity = next(each for each in spec.severities if each.id == self.measure.of[0])
            return f"{words.step(severity, self.value)}{' or worse' if self.at_least else ''}"
        name = "" if self.measure.kinds else named(spec, self.measure.of[0])
        return f"{'at least ' if self.at_least else ''}{words.said(self.measure, self.value, name)}{self._known()}"

    def _known(self) -> str:
        return words.known(self.test, self.measure, self.allowed)

    def _said(self, spec: Spec) -> str:
        if self.measure.take is Take.SEVERITY:
            severity = next(each for each in spec.severities if each.id == self.measure.of[0])
            return f"{severity.name} is {self.measured(spec)}, {words.steps_allowed(severity, self.allowed)}"
        if self.measure.kinds and not self.kinds:
            return f"{self.limit_name} {self.measured(spec)} {self._against(spec)}"
        if self.measure.take is Take.PRESENT and self.allowed.is_nil:
            return f"it has {words.marks(spec, self.measure, self.kinds)}"
        if self.measure.kinds and not self.value:
            return f"{words.marks(spec, self.measure, self.kinds)} was seen, not measured, and none is allowed"
        figure = words.figure(spec, self.measure, self.kinds, self.measured(spec))
        return f"{figure} {self._against(spec)}"

    def _whom(self) -> str:
        whom = [*([f"size {self.size_code}"] if self.size_code else []), *([self.variety] if self.variety else [])]
        return f" for {' and '.join(whom)}" if whom else ""

    def _sizes(self, spec: Spec) -> str:
        figure = self.sized_by
        scale = spec.scale
        if figure is None:
            return f"it is in {self.value} sizes, {self.allowed.says()} allowed"
        said = say(Fraction(figure), Unit.GRAM if scale.of == WEIGHT else scale.unit)
        if scale.of != WEIGHT:
            said = f"{named(spec, scale.of)} {said}"
        if scale.count_in_g is not None:
            mass = units.say_mass(scale.count_in_g, 2, trim=True)
            said += f", {units.digits(scale.looked_up(figure), 2, trim=True)} in {mass},"
        if not self.value:
            return f"{said} is in no size: {scale.says()}"
        return f"{said} is in {self.value} sizes, {self.allowed.says()} allowed"

    def _against(self, spec: Spec) -> str:
        """How the figure stands to the end it broke: "is over 4 cm²", "is not under 35 %", "where none is allowed"."""
        bound = self.allowed
        if bound.is_nil:
            return "where none is allowed"
        over = bound.is_over(self.value) or (self.at_least and self.value == bound.high)
        end, closed = (bound.high, bound.high_closed) if over else (bound.low, bound.low_closed)
        said = words.end(spec, self.measure, end or Fraction(0))
        if not closed and self.value == end:
            return f"is not {'under' if over else 'over'} {said}"
        # Figures turned from cm² into % may differ by less than is said.
        just = "just " if said == say(self.value, self.measure.unit) else ""
        return f"is {just}{'over' if over else 'under'} {said}"


@dataclass(frozen=True, slots=True)
class NotJudged:
    """A limit of the class given that could not be judged, and what was not taken: ids of kinds and of measures of the
    crop, "colour stage", the state of a kind (``takes.state_of``), or a fact of the load ("variety", "day" ...)."""

    limit_id: str
    limit_name: str
    missing: tuple[str, ...]

    def words(self, spec: Spec) -> tuple[str, ...]:
        """What was not taken, in words: "sunburn", "the state of sunburn", "dry matter", "variety"."""
        return tuple(_not_taken(spec, missing) for missing in self.missing)

    def says(self, spec: Spec) -> str:
        """The limit and what was not taken: "skin marks (sunburn)"; a limit called like what it asks is said once."""
        missing = [word for word in self.words(spec) if word != self.limit_name]
        return f"{self.limit_name} ({listed(missing)})" if missing else self.limit_name


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a spec says of one fruit.

    ``class_id`` None means it makes no class. ``codes`` are all its size codes, ``judged_as`` the one it was judged
    for. ``count`` is given when a tray was named and the fruit makes a class. ``reasons`` hold, best class first, every
    broken limit of every class better than the one given. ``outlet`` is where it goes when it makes no class or does
    not fit the tray. ``by_code`` is the class it makes for each of its codes. ``severities`` have for each severity of
    the spec the number of its step and the step's name: 0 and "" when nothing is there, None when it is not known.
    """

    class_id: str | None
    codes: tuple[str, ...]
    judged_as: str | None
    count: CountResult | None
    reasons: tuple[Reason, ...]
    not_judged: tuple[NotJudged, ...]
    outlet: Outlet | None
    by_code: tuple[tuple[str, str | None], ...] = ()
    severities: tuple[tuple[str, int | None, str], ...] = ()

    @property
    def packed(self) -> bool:
        """Whether it is packed: it makes a class and fits the tray named, or its outlet counts as packed."""
        return self.outlet is None or self.outlet.packed

    def reasons_for(self, class_id: str) -> tuple[Reason, ...]:
        """The reasons that kept it out of one class."""
        return tuple(reason for reason in self.reasons if reason.class_id == class_id)

    def says(self, spec: Spec) -> str:
        """The sentence for the bench: "Class II because sap stain 4.6 cm² is over 4 cm² for size B".

        The reasons are those of the class just above, the nearest one missed.
        """
        said = "No class" if self.class_id is None else spec.grade_class(self.class_id).name
        if self.reasons:
            nearest = self.reasons_for(self.reasons[-1].class_id)
            said += f" because {', and '.join(reason.clause(spec) for reason in nearest)}"
        if self.count is not None and self.count.misfit is not None:
            said += f"{';' if self.reasons else ','} {self.count.misfit.says}"
        if self.not_judged:
            said += f"; not judged: {', '.join(limit.limit_name for limit in self.not_judged)}"
        return said

    def severity_words(self, spec: Spec) -> tuple[str, ...]:
        """The severities that are there or not known: "scab: moderate", "scab: not known"."""
        names = {severity.id: severity.name for severity in spec.severities}
        return tuple(
            f"{names[severity_id]}: {name or 'not known'}"
            for severity_id, number, name in self.severities
            if number is None or number
        )


def _not_taken(spec: Spec, missing: str) -> str:
    kind = kind_of_state(missing)
    if kind is not None:
        return f"the state of {named(spec, kind)}"
    try:
        return named(spec, missing)
    except KeyError:
        return missing
