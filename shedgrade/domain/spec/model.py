"""What a spec is: classes, best first; a size scale; limits; severities; tolerances; outlets.

All of it is data, each part with its source. The parts stand in rooms of their own: ``measure``, ``limit``, ``scale``,
``tolerance``. The same letter means different weights in different standards, so a size code means nothing without
its spec.
"""

from dataclasses import dataclass

from shedgrade.domain.crop import Crop
from shedgrade.domain.source import Source
from shedgrade.domain.spec.limit import Limit, Severity
from shedgrade.domain.spec.scale import Scale
from shedgrade.domain.spec.tolerance import Basis, FruitSet, Tolerance

TOO_LIGHT = "too light"
TOO_HEAVY = "too heavy"
NO_CLASS = "no class"


@dataclass(frozen=True, slots=True)
class GradeClass:
    """A quality level of the spec."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class Outlet:
    """Where fruit goes that makes no class or does not fit the tray.

    ``takes`` holds limit ids (a limit that every class broke), TOO_LIGHT, TOO_HEAVY or NO_CLASS. The first outlet
    that takes the case gets the fruit; the one with NO_CLASS catches what no other takes.
    """

    id: str
    name: str
    packed: bool
    takes: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class Spec:
    """The written rules of a standard or a market. A published version never changes."""

    id: str
    title: str
    crop: Crop
    edition: str
    classes: tuple[GradeClass, ...]
    scale: Scale
    limits: tuple[Limit, ...]
    outlets: tuple[Outlet, ...]
    source: Source
    notes: tuple[str, ...] = ()
    severities: tuple[Severity, ...] = ()
    sets: tuple[FruitSet, ...] = ()
    tolerances: tuple[Tolerance, ...] = ()

    def grade_class(self, class_id: str) -> GradeClass:
        """The class of that id; KeyError when the spec has none."""
        for grade_class in self.classes:
            if grade_class.id == class_id:
                return grade_class
        raise KeyError(class_id)

    def limit(self, limit_id: str) -> Limit:
        """The limit of that id; KeyError when the spec has none."""
        for limit in self.limits:
            if limit.id == limit_id:
                return limit
        raise KeyError(limit_id)

    def tolerances_of(self, class_id: str) -> tuple[Tolerance, ...]:
        """The tolerances asked of a lot of a class: those for it, and those for every class."""
        return tuple(each for each in self.tolerances if class_id in each.classes or not each.classes)

    def bases_of(self, class_id: str) -> tuple[Basis, ...]:
        """What a lot of a class can be counted by: what every one of its tolerances allows."""
        asked = self.tolerances_of(class_id)
        return tuple(basis for basis in Basis if all(basis in each.basis for each in asked))

    def outlet_for(self, cases: frozenset[str]) -> Outlet:
        """The first outlet that takes one of the cases, else the one that takes what makes no class."""
        for outlet in self.outlets:
            if not cases.isdisjoint(outlet.takes):
                return outlet
        return next(outlet for outlet in self.outlets if NO_CLASS in outlet.takes)

    @property
    def sources(self) -> tuple[Source, ...]:
        """Every source the spec leans on, each once, in file order."""
        found = [self.source, self.scale.source, *(band.source for band in self.scale.bands)]
        for severity in self.severities:
            found += [severity.source, *(step.source for step in severity.steps)]
        for limit in self.limits:
            found += [limit.source, *(row.source for way in limit.ways for row in way.rows)]
        found += [fruit_set.source for fruit_set in self.sets]
        for tolerance in self.tolerances:
            found += [tolerance.source, *(part.source for part in tolerance.part.parts)]
        return tuple(dict.fromkeys(found + [outlet.source for outlet in self.outlets]))
