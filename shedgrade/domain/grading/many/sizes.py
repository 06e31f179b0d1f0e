"""Size codes and counts of many fruit: each different figure is looked up once, by what looks it up for one fruit."""

from fractions import Fraction
from typing import TYPE_CHECKING

from shedgrade.domain.grading.many.columns import Columns
from shedgrade.domain.grading.many.figures import raw
from shedgrade.domain.grading.many.whole import Different, by_value, holding
from shedgrade.domain.grading.plan import Plan
from shedgrade.domain.grading.takes import Sizes
from shedgrade.domain.trays.counts import Misfit, TrayType, count_bands

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Ints

TOO_LIGHT, TOO_HEAVY = -1, -2
"""Stand in a column of counts for fruit that do not fit the tray."""
MISFITS = {TOO_LIGHT: Misfit.TOO_LIGHT, TOO_HEAVY: Misfit.TOO_HEAVY}


def sizes_of(plan: Plan, columns: Columns, weights: Different) -> "tuple[tuple[Sizes, ...], Ints]":
    """The different answers of the size table, and for each fruit (n,) the place of its own."""
    import numpy as np  # noqa: PLC0415

    found: dict[Sizes, int] = {}

    def place(sizes: Sizes) -> int:
        return found.setdefault(sizes, len(found))

    num, den, taken = raw(plan.spec.scale.of, plan, columns)
    sizer = plan.sizer

    def look_up(figure: int) -> int:
        return place(sizer.sizes_of(figure if den == 1 else Fraction(figure, den)))

    def each(different: Different) -> "Ints":
        figures = sizer.rounded(different.figures) if den == 1 else different.figures
        return different.spread(_small(by_value(figures, look_up), len(found)))

    if taken is None:
        size = each(weights if num is columns.weight_dg else Different(num))
    else:
        known, unknown = each(Different(num[taken])), place(sizer.sizes_of(None))
        size = _small(np.full(len(num), unknown), len(found))
        size[taken] = known
    return tuple(found), size


def counts_of(tray: TrayType, weights: Different) -> "Ints":
    """The count of each fruit on the tray (n,), or TOO_LIGHT or TOO_HEAVY."""
    import numpy as np  # noqa: PLC0415

    each = weights.figures
    counts = np.full(len(each), TOO_LIGHT, dtype=holding(max(tray.counts)))
    for band in reversed(count_bands(tray)):
        counts[each >= band.lightest_dg] = band.count
    if tray.heaviest_dg is not None:
        counts[each > tray.heaviest_dg] = TOO_HEAVY
    return weights.spread(counts)


def _small(numbers: "Ints", among: int) -> "Ints":
    return numbers.astype(holding(among))
