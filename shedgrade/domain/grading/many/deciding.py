"""The rows of a plan held against many fruit: what ``Bounds``, ``Check`` and ``Ruling`` answer for one, as arrays."""

from typing import TYPE_CHECKING, NamedTuple

from shedgrade.domain.grading.many.figures import EXACT, MORE_THAN, UP_TO, Figures, Taking
from shedgrade.domain.grading.many.whole import on, over, under
from shedgrade.domain.grading.plan import Bounds, Check, Ruling

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bools


class Answers(NamedTuple):
    """For each fruit whether it is broken and whether it is not judged, bool (n,); both False: it holds or has no rule.

    None instead of an array: nowhere.
    """

    broken: "Bools | None"
    unsure: "Bools | None"


def judge(ruling: Check | Ruling, taking: Taking) -> Answers:
    """The answers of a limit for a class and size."""
    if isinstance(ruling, Check):
        return hold(ruling.bounds, taking)
    return _one_of(ruling, taking)


def hold(bounds: Bounds, taking: Taking) -> Answers:
    """Compare exactly, as ``Bounds.judge`` does."""
    figures = taking[bounds.place]
    if figures.extent is None:
        above = None if bounds.high is None else over(figures.num, figures.den, bounds.high)
        below = None if bounds.low is None else under(figures.num, figures.den, bounds.low)
        return Answers(_either(above, below), None)
    return _hold_unsure(bounds, figures)


def _hold_unsure(bounds: Bounds, figures: Figures) -> Answers:
    num, den, extent, most = figures.num, figures.den, figures.extent, figures.most
    assert extent is not None
    inexact, more = extent != EXACT, extent == MORE_THAN
    broken: Bools | None = None
    unsure: Bools | None = None
    if bounds.high is not None:
        broken = over(num, den, bounds.high) | (more & on(num, den, bounds.high))
        unsure = inexact & ~broken
        if most is not None:
            unsure &= (extent != UP_TO) | over(*most, bounds.high)
    if bounds.low is not None:
        short = under(num, den, bounds.low) & ~(more & on(num, den, bounds.low))
        sure = ~inexact if most is None else ~inexact | ((extent == UP_TO) & under(*most, bounds.low))
        before = _either(broken, unsure)
        short = short if before is None else short & ~before
        broken, unsure = _either(broken, short & sure), _either(unsure, short & ~sure)
    return Answers(broken, unsure)


def _one_of(ruling: Ruling, taking: Taking) -> Answers:
    """One way that holds is enough; it is broken when every way that has a row is."""
    import numpy as np  # noqa: PLC0415

    length = len(taking.columns)
    holds, broken, unsure = (np.zeros(length, dtype=bool) for _ in range(3))
    for way in ruling.ways:
        asked = np.ones(length, dtype=bool)
        for check in way:
            shut, perhaps = _speaks(check, taking)
            speaks = asked if shut is None else asked & ~shut
            found = judge(check, taking)
            not_judged = _either(perhaps, found.unsure)
            known = speaks if not_judged is None else speaks & ~not_judged
            unsure |= speaks & ~known
            broken_here = known & (False if found.broken is None else found.broken)
            broken |= broken_here
            holds |= known & ~broken_here
            if shut is None:
                break
            asked = asked & shut
    return Answers(broken & ~unsure & ~holds, unsure & ~holds)


def _speaks(check: Check, taking: Taking) -> "tuple[Bools | None, Bools | None]":
    """Where the row does not speak of the fruit, and where nobody can say; None: nowhere."""
    import numpy as np  # noqa: PLC0415

    shut: Bools | None = None
    perhaps: Bools | None = np.ones(len(taking.columns), dtype=bool) if check.unsaid else None
    for switch in check.switches:
        found = hold(switch, taking)
        shut, perhaps = _either(shut, found.broken), _either(perhaps, found.unsure)
    return shut, perhaps


def _either(one: "Bools | None", other: "Bools | None") -> "Bools | None":
    if one is None or other is None:
        return other if one is None else one
    return one | other
