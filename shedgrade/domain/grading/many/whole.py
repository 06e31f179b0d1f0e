"""Whole numbers in arrays, exact whatever their size.

Arrays are int64 as long as nothing done with them can pass 63 bits, which is seen from the largest figure in them;
else they hold Python's own whole numbers (dtype object). No function here makes a float.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    from numpy import bool_, int8, uint8
    from numpy.typing import NDArray

    Ints: TypeAlias = NDArray[Any]
    """Whole numbers, int64 or object."""
    Bools: TypeAlias = NDArray[bool_]
    Bytes: TypeAlias = NDArray[int8]
    Bits: TypeAlias = NDArray[uint8]

MOST = 2**63 - 1
End = tuple[int, int, bool]
"""An end of a bound as the plan keeps it: numerator, denominator, and whether the end itself is allowed."""

_WIDE = 4  # a table over all figures between the smallest and the largest may be so many times as long as the array


def ints(values: Sequence[int]) -> "Ints":
    """An array of these whole numbers."""
    import numpy as np  # noqa: PLC0415

    return np.array(values, dtype=np.int64 if all(-MOST <= each <= MOST for each in values) else object)


def places(number: int) -> "type[Any]":
    """The smallest kind of whole number that can say a place among so many, and none."""
    import numpy as np  # noqa: PLC0415

    return np.int8 if number < 1 << 7 else np.int16 if number < 1 << 15 else np.int64


def furthest(values: "Ints | int") -> int:
    """The largest distance from 0; 0 of none."""
    if isinstance(values, int):
        return abs(values)
    return max(int(values.max()), -int(values.min())) if len(values) else 0


def times(values: "Ints", by: "Ints | int") -> "Ints":
    """The product, figure by figure."""
    if isinstance(by, int) and by == 1:
        return values
    if max(furthest(values), 1) * max(furthest(by), 1) > MOST:
        values = values.astype(object)
    return values * by


def plus(values: "Ints", more: "Ints") -> "Ints":
    """The sum, figure by figure."""
    return (values.astype(object) if furthest(values) + furthest(more) > MOST else values) + more


def at_rows(length: int, parts: "Sequence[tuple[Ints, Ints, bool]]", *, largest: bool = False) -> "Ints":
    """Figures put into ``length`` places and added up there, or the largest kept; none is below 0.

    A part has the places (m,), ascending, its figures (m,), and whether no place comes twice.
    """
    import numpy as np  # noqa: PLC0415

    all_together = sum(furthest(values) * (1 if single else len(rows)) for rows, values, single in parts)
    found: Ints = np.zeros(length, dtype=np.int64 if all_together <= MOST else object)
    for rows, values, single in parts:
        if not single:
            (np.maximum if largest else np.add).at(found, rows, values)
        elif largest:
            found[rows] = np.maximum(found[rows], values)
        else:
            found[rows] += values
    return found


def over(num: "Ints", den: "Ints | int", end: End) -> "Bools":
    """Where ``num / den`` lies above the end, or on it where the end itself is not allowed; ``den`` is over 0."""
    top, bottom, closed = end
    if isinstance(den, int):
        whole, rest = divmod(top * den, bottom)
        return num > whole if closed or rest else num >= whole
    left, right = times(num, bottom), times(den, top)
    return left > right if closed else left >= right


def under(num: "Ints", den: "Ints | int", end: End) -> "Bools":
    """Where ``num / den`` lies below the end, or on it where the end itself is not allowed; ``den`` is over 0."""
    top, bottom, closed = end
    if isinstance(den, int):
        whole, rest = divmod(top * den, bottom)
        return num < whole if closed and not rest else num <= whole
    left, right = times(num, bottom), times(den, top)
    return left < right if closed else left <= right


def on(num: "Ints", den: "Ints | int", end: End) -> "Bools":
    """Where ``num / den`` is the end."""
    top, bottom, _ = end
    return over(num, den, (top, bottom, False)) & under(num, den, (top, bottom, False))


BLOCK = 1 << 16
"""Figures worked on at a time, so that they stay in the processor's cache and need no fresh memory; a multiple of 8."""


def blocks(length: int) -> Iterator[slice]:
    """The runs of ``length`` places worked on at a time."""
    return (slice(first, min(first + BLOCK, length)) for first in range(0, length, BLOCK))


class Different:
    """The different figures of an array, so that what depends on the figure alone is worked out once for each."""

    def __init__(self, values: "Ints") -> None:
        """``values`` (n,); ``figures`` (m,) are the different ones, ascending."""
        import numpy as np  # noqa: PLC0415

        self._values = values
        self._low, high = (int(values.min()), int(values.max())) if len(values) else (0, 0)
        self._length = high - self._low + 1
        if self._length > _WIDE * len(values) + 1000:
            self.figures = np.unique(values)
            return
        there = np.zeros(self._length, dtype=bool)
        for here in blocks(len(values)):
            there[values[here] - self._low] = True
        self.figures = np.flatnonzero(there) + self._low

    def spread(self, answers: "Ints") -> "Ints":
        """An answer a figure (m,) put where the figures stood (n,)."""
        import numpy as np  # noqa: PLC0415

        if self._length > _WIDE * len(self._values) + 1000:
            return answers[np.searchsorted(self.figures, self._values)]
        found: Ints = np.empty(len(self._values), dtype=answers.dtype)
        table: Ints = np.zeros(self._length, dtype=answers.dtype)
        table[self.figures - self._low] = answers
        for here in blocks(len(found)):
            found[here] = table.take(self._values[here] - self._low)
        return found


def by_value(values: "Ints", of: Callable[[int], int]) -> "Ints":
    """``of`` asked once for each different figure, its answers (n,) at the places of the figures."""
    different = Different(values)
    return different.spread(ints([of(int(each)) for each in different.figures]))
