"""The rows of a plan held against many fruit: what ``Bounds``, ``Check`` and ``Ruling`` answer for one, as arrays."""

from typing import TYPE_CHECKING, NamedTuple

from shedgrade.domain.grading.many.figures import MORE_THAN, UP_TO, Figures
from shedgrade.domain.grading.many.taking import Taking
from shedgrade.domain.grading.many.whole import on, over, under
from shedgrade.domain.grading.plan import Answer, Bounds, Check, Ruling

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
    import numpy as np  # noqa: PLC0415

    figures = taking[bounds.place]
    if figures.same:
        broken = bounds.judge({bounds.place: figures.at(0)}) is Answer.BROKEN
        return Answers(np.ones(len(figures.num), dtype=bool) if broken else None, None)
    outside = _outside(bounds, figures)
    if outside is None or figures.inexact is None:
        return Answers(_somewhere(outside), None)
    rows, few = figures.inexact
    not_judged = np.zeros(len(outside), dtype=bool)
    outside[rows], not_judged[rows] = _inexact(bounds, few)
    return Answers(_somewhere(outside), _somewhere(not_judged))


def _outside(bounds: Bounds, figures: Figures) -> "Bools | None":
    """Where figures known exactly lie outside."""
    above = None if bounds.high is None else over(figures.num, figures.den, bounds.high)
    below = None if bounds.low is None else under(figures.num, figures.den, bounds.low)
    return _either(above, below)


def _inexact(bounds: Bounds, figures: Figures) -> "tuple[Bools, Bools]":
    """Where figures that may still grow break a bound, and where nobody can say."""
    import numpy as np  # noqa: PLC0415

    num, den, extent, most = figures.num, figures.den, figures.extent, figures.most
    more, up_to = extent == MORE_THAN, extent == UP_TO
    broken, unsure = np.zeros(len(num), dtype=bool), np.zeros(len(num), dtype=bool)
    if bounds.high is not None:
        broken = over(num, den, bounds.high) | (more & on(num, den, bounds.high))
        unsure = ~broken & (~up_to if most is None else ~up_to | over(*most, bounds.high))
    if bounds.low is not None:
        short = under(num, den, bounds.low) & ~(more & on(num, den, bounds.low)) & ~broken & ~unsure
        for_good = up_to & (False if most is None else under(*most, bounds.low))
        broken |= short & for_good
        unsure |= short & ~for_good
    return broken, unsure


def _somewhere(answers: "Bools | None") -> "Bools | None":
    return answers if answers is not None and answers.any() else None


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
            if found.broken is not None:
                broken |= known & found.broken
                known = known & ~found.broken
            holds |= known
            if shut is None:
                break
            asked = asked & shut
    return Answers(_somewhere(broken & ~unsure & ~holds), _somewhere(unsure & ~holds))


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
