"""Sizes offered for a mark that is matched by eye instead of typed: what the spec allows, and steps between."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from shedgrade.domain.bound import Bound, Unit
from shedgrade.domain.crop import DefectKind, Measured
from shedgrade.domain.spec.measure import By, Measure, Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import HUNDREDTHS

MOST_OFFERED = 8
_FEW_LIMITS = 3  # up to so many there is room for a step between each two

# Where the spec has no limit on such a mark: our own choice, each about twice the one before.
_WITHOUT_LIMIT = {
    Measured.AREA: (Fraction(1, 2), Fraction(1), Fraction(2), Fraction(4), Fraction(8)),
    Measured.SHARE: (Fraction(5), Fraction(10), Fraction(20), Fraction(40)),
    Measured.LENGTH: (Fraction(5), Fraction(10), Fraction(20)),
    Measured.PLACES: (Fraction(1), Fraction(2), Fraction(4), Fraction(8)),
}
_BY = {Measured.AREA: By.AREA, Measured.SHARE: By.SHARE, Measured.LENGTH: By.LENGTH}
_UNITS = {
    Measured.AREA: Unit.CM2,
    Measured.SHARE: Unit.PERCENT,
    Measured.LENGTH: Unit.MM,
    Measured.PLACES: Unit.NUMBER,
}
_STEP = {Measured.AREA: Fraction(1, 10)}  # what lies between limits is rounded to; else to a whole one


def sizes_offered(spec: Spec, kind: DefectKind) -> tuple[Fraction, ...]:
    """From small to large and in the unit it is typed in (cm², %, mm, places), at most MOST_OFFERED; () for a kind that
    is just there or not. The limits of the spec on such a mark are among them (where they are many, the largest of
    them), half of the least of these and half as much again as the largest. Limits that grow with the fruit
    (``as_on``) are left out: no one size is theirs."""
    if kind.measure is Measured.PRESENT:
        return ()
    limits = sorted({size for bound in _bounds(spec, kind) if (size := _most(bound, kind.measure)) > 0})
    limits = limits[-(MOST_OFFERED - 2) :]
    if not limits:
        return _WITHOUT_LIMIT[kind.measure]
    beside = [limits[0] / 2, limits[-1] * 3 / 2]
    if len(limits) <= _FEW_LIMITS:
        beside += [(less + more) / 2 for less, more in pairwise(limits)]
    step = _STEP.get(kind.measure, Fraction(1))
    rounded = {round(size / step) * step for size in beside}
    return tuple(sorted({*limits, *(size for size in rounded if size > 0)}))


def _bounds(spec: Spec, kind: DefectKind) -> Iterator[Bound]:
    for way in (way for limit in spec.limits for way in limit.ways):
        if _looks_at(way.measure, kind):
            yield from (row.to for row in way.rows)
    for severity in spec.severities:
        if _looks_at(severity.measure, kind):
            yield from (step.to for step in severity.steps)


def _looks_at(measure: Measure, kind: DefectKind) -> bool:
    if kind.id not in measure.of or measure.as_on is not None:
        return False
    if kind.measure is Measured.PLACES:
        return measure.take is Take.PLACES
    return measure.take in (Take.SUM, Take.LARGEST) and measure.by is _BY[kind.measure]


def _most(bound: Bound, measure: Measured) -> Fraction:
    """The most that is allowed and can be typed: to the hundredth, of places a whole number; 0 without an upper end."""
    if bound.high is None:
        return Fraction(0)
    parts = 1 if measure is Measured.PLACES else HUNDREDTHS
    typed = bound.high / _UNITS[measure].base * parts
    whole = typed.__floor__()
    return Fraction(whole - (typed == whole and not bound.high_closed), parts)
