"""Marks of many fruit added up, counted, or the largest of them kept, in whole numbers over one denominator a fruit."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from shedgrade.domain import units
from shedgrade.domain.grading.facts import blemish_surface_mm2
from shedgrade.domain.grading.many.columns import NOT_TAKEN, Marks
from shedgrade.domain.grading.many.whole import at_rows, by_value, times
from shedgrade.domain.spec.measure import By

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bools, Ints


class Weighed(NamedTuple):
    """The marks of one kind with their figures: ``figures`` (m,) over the common denominator, ``gaps`` (m,) where one
    was not measured, whose figure is 0."""

    marks: Marks
    figures: "Ints"
    gaps: "Bools"

    def where(self, chosen: "Bools") -> "Weighed":
        """Those chosen by an array of shape (m,)."""
        return self if chosen.all() else Weighed(self.marks.where(chosen), self.figures[chosen], self.gaps[chosen])


def there(length: int, kinds: Sequence[Marks]) -> "Bools":
    """Which of ``length`` fruit have a mark of any of the kinds, bool (length,)."""
    import numpy as np  # noqa: PLC0415

    found = np.zeros(length, dtype=bool)
    for marks in kinds:
        found[marks.rows] = True
    return found


def weigh(by: By | None, weight_dg: "Ints", kinds: Sequence[Marks]) -> "tuple[list[Weighed], Ints | int]":
    """The marks of each kind as areas in mm², shares of one, lengths in tenths of a millimetre or, without ``by``, as
    numbers of places; and the denominator of all, one number or one a fruit."""
    if by is None:
        return [Weighed(each, _counted(each), each.places < NOT_TAKEN) for each in kinds], 1
    if by is By.LENGTH:
        lengths = [each.length_dmm for each in kinds]
        return [Weighed(each, _known(of), of == NOT_TAKEN) for each, of in zip(kinds, lengths, strict=True)], 1
    if by is By.AREA:
        return _areas(weight_dg, kinds)
    return _shares(weight_dg, kinds)


def total(length: int, kinds: Sequence[Weighed], *, largest: bool) -> "tuple[Ints, Bools | None]":
    """The figures of each of ``length`` fruit added up, or the largest, and where one was not measured."""
    found = at_rows(length, [(of.marks.rows, of.figures, of.marks.single) for of in kinds], largest=largest)
    gaps = [of.marks.where(of.gaps) for of in kinds if of.gaps.any()]
    return found, there(length, gaps) if gaps else None


def _areas(weight_dg: "Ints", kinds: Sequence[Marks]) -> "tuple[list[Weighed], Ints | int]":
    """One known only as a share is turned by the blemish surface of its fruit."""
    shares = [(each.area_mm2 == NOT_TAKEN) & (each.share_bp > 0) for each in kinds]
    den = units.BP if any(turned.any() for turned in shares) else 1
    found = []
    for each, turned in zip(kinds, shares, strict=True):
        area = times(_known(each.area_mm2), den)
        if turned.any():
            area = _put(area, turned, times(_surfaces(weight_dg[each.rows[turned]]), each.share_bp[turned]))
        found.append(Weighed(each, area, (each.area_mm2 == NOT_TAKEN) & (each.share_bp == NOT_TAKEN)))
    return found, den


def _shares(weight_dg: "Ints", kinds: Sequence[Marks]) -> "tuple[list[Weighed], Ints | int]":
    """One known only in mm² is turned by the blemish surface of its fruit; then all figures of that fruit stand over
    the surface."""
    areas = [(each.share_bp == NOT_TAKEN) & (each.area_mm2 > 0) for each in kinds]
    gaps = [(each.share_bp == NOT_TAKEN) & (each.area_mm2 == NOT_TAKEN) for each in kinds]
    rows = there(len(weight_dg), [each.where(turned) for each, turned in zip(kinds, areas, strict=True)])
    if not rows.any():
        known = [_known(each.share_bp) for each in kinds]
        return [Weighed(*each) for each in zip(kinds, known, gaps, strict=True)], units.BP
    surface = _put(rows.astype(int), rows, _surfaces(weight_dg[rows]))
    surface[~rows] = 1
    found = []
    for each, turned, gap in zip(kinds, areas, gaps, strict=True):
        share = times(surface[each.rows], _known(each.share_bp))
        found.append(Weighed(each, _put(share, turned, times(each.area_mm2[turned], units.BP)), gap))
    return found, times(surface, units.BP)


def _surfaces(weight_dg: "Ints") -> "Ints":
    return by_value(weight_dg, blemish_surface_mm2)


def _put(figures: "Ints", chosen: "Bools", others: "Ints") -> "Ints":
    """A copy with the others at the places chosen."""
    copy: Ints = figures.astype(others.dtype if figures.dtype != object else object)
    copy[chosen] = others
    return copy


def _known(figures: "Ints") -> "Ints":
    """0 for what was not taken."""
    return figures.clip(0)


def _counted(marks: Marks) -> "Ints":
    """A mark that says no number is one place."""
    figures = marks.places.copy()
    figures[figures == NOT_TAKEN] = 1
    return figures
