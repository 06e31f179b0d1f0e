"""Whole numbers in arrays, exact whatever their size.

Arrays are int64 as long as nothing done with them can pass 63 bits, which is seen from the largest figure in them;
else they hold Python's own whole numbers (dtype object). No function here makes a float.
"""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    from numpy import bool_, int8
    from numpy.typing import NDArray

    Ints: TypeAlias = NDArray[Any]
    """Whole numbers, int64 or object."""
    Bools: TypeAlias = NDArray[bool_]
    Bytes: TypeAlias = NDArray[int8]

MOST = 2**63 - 1
End = tuple[int, int, bool]
"""An end of a bound as the plan keeps it: numerator, denominator, and whether the end itself is allowed."""

_WIDE = 4  # a table over all figures between the smallest and the largest may be so many times as long as the array


def ints(values: Sequence[int]) -> "Ints":
    """An array of these whole numbers."""
    import numpy as np  # noqa: PLC0415

    return np.array(values, dtype=np.int64 if all(-MOST <= each <= MOST for each in values) else object)


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


def by_value(values: "Ints", of: Callable[[int], int]) -> "Ints":
    """``of`` asked once for each different figure, its answers (n,) at the places of the figures."""
    import numpy as np  # noqa: PLC0415

    if not len(values):
        return values
    low, high = int(values.min()), int(values.max())
    if high - low > _WIDE * len(values) + 1000:
        different, places = np.unique(values, return_inverse=True)
        return ints([of(int(each)) for each in different])[places]
    there = np.zeros(high - low + 1, dtype=bool)
    there[values - low] = True
    found = np.flatnonzero(there)
    answers = ints([of(low + int(each)) for each in found])
    table: Ints = np.zeros(len(there), dtype=answers.dtype)
    table[found] = answers
    return table[values - low]
