"""Whole numbers in arrays, exact whatever their size.

Arrays are of 64 bits or fewer as long as nothing done with them can pass their bits, which is seen from the largest
figure in them; else they hold Python's own whole numbers (dtype object). No function here makes a float.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from os import cpu_count
from threading import current_thread
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    from numpy import bool_, int8, uint8
    from numpy.typing import NDArray

    Ints: TypeAlias = NDArray[Any]
    """Whole numbers, of 8 to 64 bits or object."""
    Bools: TypeAlias = NDArray[bool_]
    Bytes: TypeAlias = NDArray[int8]
    Bits: TypeAlias = NDArray[uint8]

MOST = 2**63 - 1
End = tuple[int, int, bool]
"""An end of a bound as the plan keeps it: numerator, denominator, and whether the end itself is allowed."""

_SHORT = 8
_WIDE = 4  # a table over all figures between the smallest and the largest may be so many times as long as the array


def ints(values: Sequence[int]) -> "Ints":
    """An array of these whole numbers."""
    import numpy as np  # noqa: PLC0415

    return np.array(values, dtype=np.int64 if all(-MOST <= each <= MOST for each in values) else object)


def holding(most: int) -> "type[Any]":
    """The smallest kind of whole number that can say ``most`` and less; small arrays are quick to go through."""
    import numpy as np  # noqa: PLC0415

    kinds = (np.int8, np.int16, np.int32, np.int64)
    return next((kind for kind in kinds if most <= np.iinfo(kind).max), object)


def furthest(values: "Ints | int") -> int:
    """The largest distance from 0; 0 of none."""
    if isinstance(values, int):
        return abs(values)
    return max(int(values.max()), -int(values.min())) if len(values) else 0


def times(values: "Ints", by: "Ints | int") -> "Ints":
    """The product, figure by figure."""
    if isinstance(by, int) and by == 1:
        return values
    return _wide(values, max(furthest(values), 1) * max(furthest(by), 1)) * by


def plus(values: "Ints", more: "Ints") -> "Ints":
    """The sum, figure by figure."""
    return _wide(values, furthest(values) + furthest(more)) + more


def _wide(values: "Ints", most: int) -> "Ints":
    """The figures as what will come of them can be said."""
    return values.astype("int64" if most <= MOST else object, copy=False)


def at_rows(length: int, parts: "Sequence[tuple[Ints, Ints, bool]]", *, largest: bool = False) -> "Ints":
    """Figures put into ``length`` places and added up there, or the largest kept; none is below 0.

    A part has the places (m,), ascending, its figures (m,), and whether no place comes twice.
    """
    import numpy as np  # noqa: PLC0415

    all_together = sum(furthest(values) * (1 if single else len(rows)) for rows, values, single in parts)
    found: Ints = np.zeros(length, dtype=holding(all_together))
    both = np.maximum if largest else np.add
    for number, (rows, values, single) in enumerate(parts):
        narrow = values.astype(found.dtype, copy=False)
        if not single:
            both.at(found, rows, narrow)
        else:
            found[rows] = both(found[rows], narrow) if number else narrow
    return found


def look_up(table: "Ints", at: "Ints") -> "Ints":
    """The answers of a table (m,) at these places (n,); out of a short one by comparing, which is a few times as quick
    as fetching each."""
    import numpy as np  # noqa: PLC0415

    if len(table) > _SHORT:
        return table.take(at)
    narrow = table.astype(holding(furthest(table)))
    found: Ints = np.zeros(len(at), dtype=narrow.dtype)
    for place, answer in enumerate(narrow):
        if answer:
            found += (at == place) * answer
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


BLOCK = 1 << 18
"""Figures worked on at a time: few enough that memory is used again and not asked for afresh, many enough that the
workers seldom wait for Python's lock; a multiple of 8."""


def block_by_block(length: int, work: Callable[[slice], None]) -> None:
    """Do the work for every block of ``length`` places, each of which touches its own places alone; several at once
    where there is more than one."""
    blocks = [slice(first, min(first + BLOCK, length)) for first in range(0, length, BLOCK)]
    # Work that goes block by block inside of a block does so by itself: it would wait for workers that wait for it.
    alone = length <= BLOCK or current_thread().name.startswith(_NAME)
    for _ in map(work, blocks) if alone else _workers().map(work, blocks):
        pass


_NAME = "many-fruit"


@cache
def _workers() -> ThreadPoolExecutor:
    """One a core; arrays are gone through without Python's lock."""
    return ThreadPoolExecutor(cpu_count(), thread_name_prefix=_NAME)


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

        def mark(here: slice) -> None:
            there[values[here] - self._low] = True

        block_by_block(len(values), mark)
        self.figures = np.flatnonzero(there) + self._low

    def spread(self, answers: "Ints") -> "Ints":
        """An answer a figure (m,) put where the figures stood (n,)."""
        import numpy as np  # noqa: PLC0415

        if self._length > _WIDE * len(self._values) + 1000:
            return answers[np.searchsorted(self.figures, self._values)]
        found: Ints = np.empty(len(self._values), dtype=answers.dtype)
        table: Ints = np.zeros(self._length, dtype=answers.dtype)
        table[self.figures - self._low] = answers

        def fill(here: slice) -> None:
            found[here] = table.take(self._values[here] - self._low)

        block_by_block(len(found), fill)
        return found


def by_value(values: "Ints", of: Callable[[int], int]) -> "Ints":
    """``of`` asked once for each different figure, its answers (n,) at the places of the figures."""
    different = Different(values)
    return different.spread(ints([of(int(each)) for each in different.figures]))
