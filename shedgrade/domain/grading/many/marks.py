"""Marks of many fruit added up, counted, or the largest of them kept, in whole numbers over one denominator a fruit."""

from collections.abc import Sequence
from functools import reduce
from operator import and_
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
    import numpy as np  # noqa: PLC0415

    if by is None:
        return [Weighed(each, _counted(each), np.zeros(len(each.rows), dtype=bool)) for each in kinds], 1
    if by is By.LENGTH:
        return [_in_length(each) for each in kinds], 1
    if by is By.AREA:
        return _areas(weight_dg, kinds)
    return _shares(weight_dg, kinds)


def total(length: int, kinds: Sequence[Weighed], *, largest: bool) -> "tuple[Ints, Bools | None]":
    """The figures of each of ``length`` fruit added up, or the largest, and where one was not measured."""
    found = at_rows(length, [(of.marks.rows, of.figures, of.marks.single) for of in kinds], largest=largest)
    gaps = [of.marks.where(of.gaps) for of in kinds if of.gaps.any()]
    return found, there(length, gaps) if gaps else None


def _in_length(marks: Marks) -> Weighed:
    return Weighed(marks, _known(marks.length_dmm, marks), _neither(marks.length_dmm, None, marks))


def _areas(weight_dg: "Ints", kinds: Sequence[Marks]) -> "tuple[list[Weighed], Ints | int]":
    """One known only as a share is turned by the blemish surface of its fruit."""
    shares = [_only(each.share_bp, each.area_mm2) for each in kinds]
    den = 1 if all(turned is None for turned in shares) else units.BP
    found = []
    for each, turned in zip(kinds, shares, strict=True):
        area = times(_known(each.area_mm2, each), den)
        if turned is not None and each.share_bp is not None:
            area = _put(area, turned, times(_surfaces(weight_dg[each.rows[turned]]), each.share_bp[turned]))
        found.append(Weighed(each, area, _neither(each.area_mm2, each.share_bp, each)))
    return found, den


def _shares(weight_dg: "Ints", kinds: Sequence[Marks]) -> "tuple[list[Weighed], Ints | int]":
    """One known only in mm² is turned by the blemish surface of its fruit; then all figures of that fruit stand over
    the surface."""
    areas = [_only(each.area_mm2, each.share_bp) for each in kinds]
    gaps = [_neither(each.share_bp, each.area_mm2, each) for each in kinds]
    some = [each.where(turned) for each, turned in zip(kinds, areas, strict=True) if turned is not None]
    if not some:
        known = [_known(each.share_bp, each) for each in kinds]
        return [Weighed(*each) for each in zip(kinds, known, gaps, strict=True)], units.BP
    rows = there(len(weight_dg), some)
    surface = _put(rows.astype(int), rows, _surfaces(weight_dg[rows]))
    surface[~rows] = 1
    found = []
    for each, turned, gap in zip(kinds, areas, gaps, strict=True):
        share = times(surface[each.rows], _known(each.share_bp, each))
        if turned is not None and each.area_mm2 is not None:
            share = _put(share, turned, times(each.area_mm2[turned], units.BP))
        found.append(Weighed(each, share, gap))
    return found, times(surface, units.BP)


def _only(figures: "Ints | None", rather: "Ints | None") -> "Bools | None":
    """Where there is something by the figures alone, and nothing was taken the other way; None: nowhere."""
    if figures is None:
        return None
    found: Bools = figures > 0
    if rather is not None:
        found &= rather == NOT_TAKEN
    return found if found.any() else None


def _neither(one: "Ints | None", other: "Ints | None", marks: Marks) -> "Bools":
    """Where neither figure was taken, bool (m,)."""
    import numpy as np  # noqa: PLC0415

    taken = [column == NOT_TAKEN for column in (one, other) if column is not None]
    return reduce(and_, taken) if taken else np.ones(len(marks.rows), dtype=bool)


def _surfaces(weight_dg: "Ints") -> "Ints":
    return by_value(weight_dg, blemish_surface_mm2)


def _put(figures: "Ints", chosen: "Bools", others: "Ints") -> "Ints":
    """A copy with the others at the places chosen."""
    copy: Ints = figures.astype(others.dtype if figures.dtype != object else object)
    copy[chosen] = others
    return copy


def _known(figures: "Ints | None", marks: Marks) -> "Ints":
    """0 for what was not taken."""
    import numpy as np  # noqa: PLC0415

    return np.zeros(len(marks.rows), dtype=int) if figures is None else np.maximum(figures, 0)


def _counted(marks: Marks) -> "Ints":
    """A mark that says no number is one place."""
    import numpy as np  # noqa: PLC0415

    return np.ones(len(marks.rows), dtype=int) if marks.places is None else np.abs(marks.places)
