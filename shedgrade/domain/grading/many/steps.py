"""The steps of a severity for many fruit."""

from typing import TYPE_CHECKING

from shedgrade.domain.grading.many.figures import AT_LEAST, EXACT, MORE_THAN, UP_TO, Figures
from shedgrade.domain.grading.many.whole import on, over, under
from shedgrade.domain.grading.plan import high_end, low_end
from shedgrade.domain.spec.limit import Severity

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bools, Ints


def steps(severity: Severity, figures: Figures) -> Figures:
    """The number of the step on a severity, 0 when nothing is there."""
    import numpy as np  # noqa: PLC0415

    if figures.extent is None:
        return Figures(_step(severity, figures.num, figures.den, None))
    low = _step(severity, figures.num, figures.den, figures.extent == MORE_THAN)
    extent = np.where(figures.extent == EXACT, np.int8(EXACT), np.int8(AT_LEAST))
    if figures.most is None:
        return Figures(low, 1, extent)
    high = _step(severity, *figures.most, None)
    up_to = figures.extent == UP_TO
    extent[up_to] = np.where(low == high, EXACT, UP_TO)[up_to]
    return Figures(low, 1, extent, (high, 1))


def _step(severity: Severity, num: "Ints", den: "Ints | int", more: "Bools | None") -> "Ints":
    """The first step that the figure lies in; in a gap or past the last one, the last whose lower end it reached.

    ``more``: the figure stands for something just above it.
    """
    import numpy as np  # noqa: PLC0415

    reached: Ints = np.zeros(len(num), dtype=int)
    open_: Bools = (num != 0) if more is None else (num != 0) | more
    for number, step in enumerate(severity.steps, 1):
        low, high = low_end(step.to), high_end(step.to)
        is_in = open_ if low is None else open_ & (~under(num, den, low) | _just(num, den, low, more))
        reached[is_in] = number
        if high is not None:
            is_in = is_in & ~over(num, den, high) & ~_just(num, den, high, more)
        open_ = open_ & ~is_in
    return reached


def _just(num: "Ints", den: "Ints | int", end: tuple[int, int, bool], more: "Bools | None") -> "Bools":
    """Where the figure stands for something just above this end."""
    import numpy as np  # noqa: PLC0415

    return np.zeros(len(num), dtype=bool) if more is None else more & on(num, den, end)
