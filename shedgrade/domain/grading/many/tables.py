"""Which table of a plan judges which fruit: by its size codes and by the one on its pack."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, product
from typing import TYPE_CHECKING, NamedTuple

from shedgrade.domain.grading.many.columns import Columns
from shedgrade.domain.grading.plan import Check, Plan, Ruling, Table
from shedgrade.domain.grading.takes import Sizes

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Ints

NONE = -1
"""Stands in arrays of places for what there is not: no code, no outlet, a step that is not known."""


class Use(NamedTuple):
    """A check that a class has: its place among all checks, the limit it is of, and the places of the tables in which
    the class has it; empty: in all of them."""

    check: int
    limit: int
    tables: tuple[int, ...]


class Rules:
    """The checks of some tables, each once, and which class has which check in which table.

    ``uses`` has for each class its checks. ``common`` has for each class the places of those it has in every table,
    ``others`` for each table and class those of the rest.
    """

    def __init__(self, tables: Sequence[Table], number_of_classes: int) -> None:
        self.checks: list[Check | Ruling] = list(dict.fromkeys(chain.from_iterable(of.checks for of in tables)))
        numbers = {check: number for number, check in enumerate(self.checks)}
        classes = range(number_of_classes)
        has = [[{numbers[of.checks[each]] for each in of.classes[place]} for of in tables] for place in classes]
        self.uses = [self._uses(tables) for tables in has]
        self.common = [sorted(set.intersection(*tables)) for tables in has]
        self.others = [
            [sorted(has[place][number].difference(self.common[place])) for place in classes]
            for number in range(len(tables))
        ]

    def _uses(self, has: list[set[int]]) -> list[Use]:
        uses = []
        for number in sorted(set.union(*has)):
            tables = tuple(table for table, checks in enumerate(has) if number in checks)
            uses.append(Use(number, self.checks[number].limit, () if len(tables) == len(has) else tables))
        return uses


@dataclass(frozen=True, slots=True, eq=False)
class Groups:
    """Fruit that are judged by the same tables, in groups.

    ``of`` (n,) is the group of each fruit. ``codes`` and ``tables`` (ranks, groups) are the size codes a group may be
    judged for, as places in ``Graded.codes``, and the table of each, as its place in ``judging``; NONE past the last. A
    fruit without a size has one rank, whose code is that of its pack or NONE. ``forced`` (groups,) is the rank of the
    code on the pack, else NONE.
    """

    of: "Ints"
    codes: "Ints"
    tables: "Ints"
    forced: "Ints"
    judging: tuple[Table, ...]


def grouped(plan: Plan, columns: Columns, sizes: tuple[Sizes, ...], size: "Ints") -> Groups:
    """Put the fruit in groups by what the size table says of them and by the code on the pack."""
    import numpy as np  # noqa: PLC0415

    labels: tuple[str | None, ...] = (None, *columns.labels) if columns.label is not None else (None,)
    names = plan.spec.scale.names
    groups = [_group(plan, each, label) for each, label in product(sizes, labels)]
    ranks = max((len(ranked) for ranked, _ in groups), default=1)
    codes = np.full((ranks, len(groups)), NONE, dtype=np.int16)
    tables = np.full((ranks, len(groups)), NONE, dtype=np.int16)
    judging: dict[int, Table] = {}
    for number, (ranked, _) in enumerate(groups):
        for rank, (code, table) in enumerate(ranked):
            codes[rank, number] = NONE if code is None else names.index(code)
            judging.setdefault(id(table), table)
            tables[rank, number] = list(judging).index(id(table))
    of = size if columns.label is None else size.astype(int) * len(labels) + columns.label + 1
    return Groups(
        of, codes, tables, np.array([forced for _, forced in groups], dtype=np.int16), tuple(judging.values())
    )


def _group(plan: Plan, sizes: Sizes, label: str | None) -> tuple[list[tuple[str | None, Table]], int]:
    """The codes with their tables, and the rank of the one on the pack, which counts where the fruit bears it out
    (``one.borne_out``)."""
    codes = list(dict.fromkeys(sizes.codes))
    if codes:
        return [(code, plan.tables[code]) for code in codes], codes.index(label) if label in codes else NONE
    if sizes.missing and label is not None and label in plan.tables:
        return [(label, plan.tables[label])], 0
    return [(None, plan.unsized if sizes.missing else plan.tables[None])], NONE
