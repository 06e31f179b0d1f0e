"""How many fruit of a lot, a package or a sample may be other than the class says."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from shedgrade.domain.bound import Bound
from shedgrade.domain.source import Source


class Basis(StrEnum):
    """What is counted. An inspection declares one, and may declare only one that the tolerance allows."""

    NUMBER = "number"
    WEIGHT = "weight"


class Scope(StrEnum):
    """What the share is a share of."""

    LOT = "lot"
    PACKAGE = "package"
    SAMPLE = "sample"


@dataclass(frozen=True, slots=True)
class FruitSet:
    """A named set of fruit: those for which at least one of its conditions holds.

    ``below``: fruit that do not make this class. ``meets``: fruit that make this class or a better one.
    ``breaks``: fruit that break one of these limits as written for ``as_class`` (None: for the class packed as); of
    limits of a package, the fewest fruit that have to come out for the rest to be uniform.
    ``has``: fruit with one of these defect kinds. ``sets``: fruit of these sets. ``other_size``: fruit that do not
    have the size code on the label.
    """

    id: str
    name: str
    source: Source
    below: str | None = None
    meets: str | None = None
    breaks: tuple[str, ...] = ()
    as_class: str | None = None
    has: tuple[str, ...] = ()
    sets: tuple[str, ...] = ()
    other_size: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """One figure of a tolerance: which fruit, how much of them, and what stands inside it ("of which 2 % ...").

    ``of`` names sets; a fruit counts when it is in one of them and, inside another part, in that one too. ``to`` is a
    share of all fruit looked at, or a number of fruit. ``package_times``: a single package may hold so many times as
    much (None: the share is not asked of single packages of a lot). ``still``: limits that these fruit must hold even
    so, as written for the class packed as; limits of level "tolerated" are written for nothing else. ``next_size``:
    these fruit must have the size code on the label or the next one up or down.
    """

    of: tuple[str, ...]
    to: Bound
    source: Source
    package_times: Fraction | None = None
    still: tuple[str, ...] = ()
    next_size: bool = False
    within: tuple["Part", ...] = ()

    @property
    def parts(self) -> tuple["Part", ...]:
        """This part and every part inside it, the outer ones first."""
        return (self, *(part for inner in self.within for part in inner.parts))


@dataclass(frozen=True, slots=True)
class Tolerance:
    """The tolerance of some classes (empty means all)."""

    id: str
    name: str
    classes: tuple[str, ...]
    basis: tuple[Basis, ...]
    scope: Scope
    part: Part
    source: Source
