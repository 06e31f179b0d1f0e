"""Figures over the marks of many fruit."""

from typing import TYPE_CHECKING

from shedgrade.domain import units
from shedgrade.domain.grading.facts import blemish_surface_mm2
from shedgrade.domain.grading.many.columns import NOT_TAKEN, Marks
from shedgrade.domain.grading.many.figures import AT_LEAST, EXACT, MORE_THAN, UP_TO, Figures, extent_where
from shedgrade.domain.grading.many.marks import Weighed, there, total, weigh
from shedgrade.domain.grading.many.whole import by_value, times
from shedgrade.domain.grading.takes import kinds_in
from shedgrade.domain.spec.measure import WEIGHT, Measure, Reference, Take

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.taking import Taking
    from shedgrade.domain.grading.many.whole import Bools, Bytes, Ints


def of_marks(measure: Measure, taking: "Taking") -> Figures:
    """Figures over marks, of those in one of the states if the measure names any."""
    import numpy as np  # noqa: PLC0415

    kinds = kinds_in(measure, taking.plan.spec)
    unseen = taking.columns.unseen(kinds)
    marks = taking.found(kinds)
    if not marks and unseen is None:
        return Figures(np.zeros(len(taking.columns), dtype=int), same=True)
    if measure.take is Take.PRESENT:
        return _present(measure, taking, marks, unseen)
    largest = measure.take is Take.LARGEST
    weighed, den = weigh(measure.by if measure.take is not Take.PLACES else None, taking.columns.weight_dg, marks)
    if measure.states:
        found = _in_states(measure, taking, weighed, den, unseen)
    else:
        num, gaps = total(len(taking.columns), weighed, largest=largest)
        found = Figures(num, den, _with_gaps(extent_where(unseen), num, gaps, largest=largest))
    return found if measure.as_on is None else _scaled(found, *_as_on(measure.as_on, taking))


def _present(measure: Measure, taking: "Taking", marks: list[Marks], unseen: "Bools | None") -> Figures:
    """How many of the named kinds are there."""
    import numpy as np  # noqa: PLC0415

    def count(kinds: list[Marks]) -> "Ints":
        number: Ints = np.zeros(len(taking.columns), dtype=np.int16)
        for each in kinds:
            number += there(len(number), [each])
        return number

    if not measure.states:
        return Figures(count(marks), 1, extent_where(unseen))
    sure, most = (
        count([each.where(in_states(each, measure, taking)) for each in marks]) for in_states in (_sure, _may)
    )
    return Figures(sure, 1, _may_grow(extent_where(unseen), sure != most), (most, 1))


def _in_states(
    measure: Measure, taking: "Taking", weighed: list[Weighed], den: "Ints | int", unseen: "Bools | None"
) -> Figures:
    largest = measure.take is Take.LARGEST
    (num, gaps), (most, open_end) = (
        total(len(taking.columns), [of.where(choose(of.marks, measure, taking)) for of in weighed], largest=largest)
        for choose in (_sure, _may)
    )
    missed = unseen if open_end is None else open_end if unseen is None else unseen | open_end
    extent = _with_gaps(_may_grow(extent_where(missed), num != most), num, gaps, largest=largest)
    return Figures(num, den, extent, (most, den))


def _sure(marks: Marks, measure: Measure, taking: "Taking") -> "Bools":
    """The marks known to be in one of the states."""
    import numpy as np  # noqa: PLC0415

    words = taking.columns.states
    bits = sum(1 << words.index(state) for state in measure.states if state in words)
    if marks.states is None:
        return np.zeros(len(marks.rows), dtype=bool)
    found: Bools = (marks.states != NOT_TAKEN) & ((marks.states & bits) != 0)
    return found


def _may(marks: Marks, measure: Measure, taking: "Taking") -> "Bools":
    """These, and the marks of whose state nobody knows."""
    import numpy as np  # noqa: PLC0415

    if marks.states is None:
        return np.ones(len(marks.rows), dtype=bool)
    found: Bools = (marks.states == NOT_TAKEN) | _sure(marks, measure, taking)
    return found


def _may_grow(extent: "Bytes | None", more: "Bools") -> "Bytes | None":
    """UP_TO where there may be more and everything was looked for."""
    if not more.any():
        return extent
    grows = extent_where(more, UP_TO)
    if extent is None or grows is None:
        return grows
    extent[extent == EXACT] = grows[extent == EXACT]
    return extent


def _with_gaps(extent: "Bytes | None", num: "Ints", gaps: "Bools | None", *, largest: bool) -> "Bytes | None":
    """A mark without a figure adds to a sum; the largest it need not be."""
    import numpy as np  # noqa: PLC0415

    if gaps is None:
        return extent
    found = np.zeros(len(num), dtype=np.int8) if extent is None else extent
    found[gaps] = MORE_THAN
    if largest:
        found[gaps & (num > 0)] = AT_LEAST
    return found


def _as_on(reference: Reference, taking: "Taking") -> "tuple[Ints | int, Ints, Bools | None]":
    """What a figure is multiplied by and divided by, and where that is known."""
    import numpy as np  # noqa: PLC0415

    if reference.of == WEIGHT:
        surface = blemish_surface_mm2(units.round_half_up(reference.size))
        return surface, by_value(taking.columns.weight_dg, blemish_surface_mm2), None
    figure = taking.raw(reference.of)
    side = times(figure.known(), reference.size.denominator)
    return (reference.size.numerator * figure.den) ** 2, np.where(side != 0, times(side, side), 1), side != 0


def _scaled(found: Figures, top: "Ints | int", bottom: "Ints", known: "Bools | None") -> Figures:
    """The figure as on the fruit of reference; whose size was not taken, of that only that there is something."""
    import numpy as np  # noqa: PLC0415

    num, den = times(found.num, top), times(bottom, found.den)
    most = None if found.most is None else (times(found.most[0], top), times(bottom, found.most[1]))
    if known is None or known.all():
        return Figures(num, den, found.extent, most)
    extent = np.zeros(len(num), dtype=np.int8) if found.extent is None else found.extent.copy()
    something = ~known & ((found.num != 0) | (extent == MORE_THAN))
    extent[~known & (extent == UP_TO)] = AT_LEAST
    extent[something] = MORE_THAN
    return Figures(num * known, den, extent, most)
