"""A spec made ready for grading: for every class and size the bounds that count, as whole numbers.

Built once a spec and kept. A bound becomes numerators and denominators, so that a fruit is judged by multiplying
whole numbers; an "any" and a limit without a row for the class and size fall away.
"""

import sys
from dataclasses import dataclass
from enum import Enum
from itertools import chain
from typing import NamedTuple

from shedgrade.domain import units
from shedgrade.domain.bound import Bound
from shedgrade.domain.spec.limit import Row
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.scale import Band, Rounding


class Extent(Enum):
    """How a figure stands to the truth when not everything was looked for or measured."""

    EXACT = 0
    AT_LEAST = 1
    MORE_THAN = 2


class Taken(NamedTuple):
    """A figure got from a fruit, ``num / den`` in base units, and the kinds that made it up."""

    num: int
    den: int
    extent: Extent
    kinds: tuple[str, ...]


class Answer(Enum):
    """Yes, no, not judged; or nothing is asked."""

    HOLDS = 0
    BROKEN = 1
    NOT_JUDGED = 2
    NO_RULE = 3


@dataclass(frozen=True, slots=True)
class Check:
    """One row of one limit, ready to compare: ``limit`` is the place of the limit in the spec."""

    limit: int
    row: Row
    low: tuple[int, int, bool] | None
    high: tuple[int, int, bool] | None

    def judge(self, taken: Taken) -> Answer:
        """Compare exactly. A figure that may still grow breaks an upper end for good, but never passes one."""
        num, den, extent, _ = taken
        if self.high is not None:
            top, bottom, closed = self.high
            left, right = num * bottom, top * den
            if left > right or (left == right and (not closed or extent is Extent.MORE_THAN)):
                return Answer.BROKEN
            if extent is not Extent.EXACT:
                return Answer.NOT_JUDGED
        if self.low is not None:
            top, bottom, closed = self.low
            left, right = num * bottom, top * den
            if left < right or (left == right and not closed and extent is not Extent.MORE_THAN):
                return Answer.BROKEN if extent is Extent.EXACT else Answer.NOT_JUDGED
        return Answer.HOLDS


@dataclass(frozen=True, slots=True)
class Table:
    """The checks of one size code, each once, and for every class, best first, which of them it has."""

    checks: tuple[Check, ...]
    classes: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """A table for each size code and for no code (None); sizes under the same rules share one and the same table.

    ``bands`` are the size codes with the least and the greatest weight in whole decigrams.
    """

    tables: dict[str | None, Table]
    bands: tuple[tuple[str, int, int], ...]
    rounds: bool
    kinds: frozenset[str]

    def codes(self, weight_dg: int) -> tuple[str, ...]:
        """The same answer as ``Scale.codes``, in whole numbers."""
        weight = units.whole_grams(weight_dg) if self.rounds else weight_dg
        return tuple([name for name, least, most in self.bands if least <= weight <= most])


_KEPT = 128
# By identity, because a spec is looked up for every fruit and comparing two equal ones takes longer than grading.
# Each plan is kept with its spec, so an identity cannot pass to another one while it stands here.
_plans: dict[int, tuple[Spec, Plan]] = {}


def plan_for(spec: Spec) -> Plan:
    """The plan of a spec, built at first use."""
    known = _plans.get(id(spec))
    if known is not None:
        return known[1]
    if len(_plans) >= _KEPT:
        _plans.clear()
    plan = _plan(spec)
    _plans[id(spec)] = (spec, plan)
    return plan


def _plan(spec: Spec) -> Plan:
    sizes: list[str | None] = [None, *(band.name for band in spec.scale.bands)]
    shared: dict[Table, Table] = {}
    tables = {size: _table(spec, size) for size in sizes}
    return Plan(
        tables={size: shared.setdefault(table, table) for size, table in tables.items()},
        bands=tuple(_band(band) for band in spec.scale.bands),
        rounds=spec.scale.rounding is Rounding.HALF_UP_TO_THE_GRAM,
        kinds=frozenset(kind.id for kind in spec.crop.kinds),
    )


def _table(spec: Spec, size: str | None) -> Table:
    classes = [_checks(spec, each.id, size) for each in spec.classes]
    numbers = {check: number for number, check in enumerate(dict.fromkeys(chain.from_iterable(classes)))}
    return Table(tuple(numbers), tuple(tuple(numbers[check] for check in checks) for checks in classes))


def _checks(spec: Spec, class_id: str, size: str | None) -> tuple[Check, ...]:
    rows = ((place, limit.row_for(class_id, size)) for place, limit in enumerate(spec.limits))
    return tuple(_check(place, row) for place, row in rows if row is not None and not row.to.is_any)


def _band(band: Band) -> tuple[str, int, int]:
    least, most = band.to.whole()
    return band.name, least or 0, sys.maxsize if most is None else most


def _check(place: int, row: Row) -> Check:
    return Check(place, row, _low(row.to), _high(row.to))


def _low(bound: Bound) -> tuple[int, int, bool] | None:
    return None if bound.low is None else (bound.low.numerator, bound.low.denominator, bound.low_closed)


def _high(bound: Bound) -> tuple[int, int, bool] | None:
    return None if bound.high is None else (bound.high.numerator, bound.high.denominator, bound.high_closed)


def check_of(row: Row) -> Check:
    """One row made ready to compare, apart from any table."""
    return _check(0, row)
