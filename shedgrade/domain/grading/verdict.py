"""The answer for one fruit: its class, its count, and for every class it missed the reason why.

The pieces are kept as data; the sentences are made from them here and nowhere else.
"""

from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain import units
from shedgrade.domain.bound import Bound, Unit, say, say_exact
from shedgrade.domain.crop import Crop
from shedgrade.domain.source import Source
from shedgrade.domain.spec.measure import COLOUR_STAGE, By, Measure, Take
from shedgrade.domain.spec.model import Outlet, Spec
from shedgrade.domain.trays.counts import CountResult


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a fruit missed a class: the limit, what was measured, what is allowed, and where that figure stands.

    ``value`` is in base units (decigrams, mm², share of one, plain number). ``at_least`` says that more may be
    there: a kind was not looked for, or was seen without being measured. ``kinds`` holds only the kinds that were
    there. ``size_code`` is given when the row speaks of sizes.
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
    weight_dg: int
    source: Source

    def says(self, spec: Spec) -> str:
        """The whole sentence: "Not Class I because sap stain 4.6 cm² is over 4 cm² for size B"."""
        return f"Not {spec.grade_class(self.class_id).name} because {self.clause(spec)}"

    def clause(self, spec: Spec) -> str:
        """What stopped it, without the class: "sap stain 4.6 cm² is over 4 cm² for size B"."""
        size = f" for size {self.size_code}" if self.size_code is not None else ""
        if self.measure.take is Take.CODES:
            return self._sizes(spec)
        if self.measure.take is Take.PRESENT and self.allowed.is_nil:
            return f"it has {_listed(spec.crop, self.kinds)}{size}"
        if self.measure.take is Take.SUM and not self.value:
            return f"{_listed(spec.crop, self.kinds)} was seen, not measured, and none is allowed{size}"
        return f"{self._subject(spec.crop)} {self._against()}{size}"

    def measured(self) -> str:
        """The measured figure in words: "4.6 cm²", "at least 3 %"."""
        return f"{'at least ' if self.at_least else ''}{say(self.value, self._unit())}"

    def _unit(self) -> Unit:
        if self.measure.take is Take.SUM:
            return Unit.CM2 if self.measure.by is By.AREA else Unit.PERCENT
        return self.measure.units[0]

    def _sizes(self, spec: Spec) -> str:
        weight = units.say_weight(self.weight_dg)
        codes = spec.scale.codes(self.weight_dg)
        if not codes:
            return f"{weight} is in no size: {spec.scale.says()}"
        return f"{weight} is in {len(codes)} sizes, {self.allowed.says()} allowed"

    def _subject(self, crop: Crop) -> str:
        if self.measure.of == (COLOUR_STAGE,):
            return f"colour stage {self.value}"
        if self.measure.take is Take.VALUE:
            return f"the weight {self.measured()}"
        names = _listed(crop, self.kinds) or self.limit_name
        if self.measure.take is Take.PRESENT:
            return f"{names}: {'at least ' if self.at_least else ''}{self.value} kinds of defect"
        return f"{names}{' together' if len(self.kinds) > 1 else ''} {self.measured()}"

    def _against(self) -> str:
        """How the figure stands to the end it broke: "is over 4 cm²", "is not under 35 %", "where none is allowed"."""
        bound = self.allowed
        if bound.is_nil:
            return "where none is allowed"
        over = bound.is_over(self.value) or (self.at_least and self.value == bound.high)
        end, closed = (bound.high, bound.high_closed) if over else (bound.low, bound.low_closed)
        said = say_exact(end or Fraction(0), self._unit())
        if not closed and self.value == end:
            return f"is not {'under' if over else 'over'} {said}"
        # Figures turned from cm² into % may differ by less than is said.
        just = "just " if said == say(self.value, self._unit()) else ""
        return f"is {just}{'over' if over else 'under'} {said}"


@dataclass(frozen=True, slots=True)
class NotJudged:
    """A limit of the class given that could not be judged, and what was not taken: kind ids, or "colour stage"."""

    limit_id: str
    limit_name: str
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a spec says of one fruit.

    ``class_id`` None means it makes no class. ``codes`` are all size codes of its weight, ``judged_as`` the one it was
    judged for. ``count`` is given when a tray was named and the fruit makes a class. ``reasons`` hold, best class
    first, every broken limit of every class better than the one given. ``outlet`` is where it goes when it makes no
    class or does not fit the tray.
    """

    class_id: str | None
    codes: tuple[str, ...]
    judged_as: str | None
    count: CountResult | None
    reasons: tuple[Reason, ...]
    not_judged: tuple[NotJudged, ...]
    outlet: Outlet | None

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


def _listed(crop: Crop, kinds: tuple[str, ...]) -> str:
    names = [crop.kind(kind).name for kind in kinds]
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
