"""Which table of a plan judges which fruit: by its size codes and by the one on its pack."""

from dataclasses import dataclass
from itertools import chain, product
from typing import TYPE_CHECKING, NamedTuple

from shedgrade.domain.grading.many.columns import Columns
from shedgrade.domain.grading.plan import Check, Plan, Ruling, Table
from shedgrade.domain.grading.takes import Sizes

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bools, Ints

NONE = -1
"""Stands in arrays of places for what there is not: no code, no outlet, a step that is not known."""


class Use(NamedTuple):
    """A check that a class has: its place among all checks, the limit it is of, and the tables in which the class has
    it, bool (tables,); None: in all of them."""

    check: int
    limit: int
    tables: "Bools | None"


class Rules:
    """The tables of a plan, each once; all their checks, each once; and which class has which check in which table."""

    def __init__(self, plan: Plan) -> None:
        import numpy as np  # noqa: PLC0415

        self.tables = list({id(table): table for table in (*plan.tables.values(), plan.unsized)}.values())
        self.checks: list[Check | Ruling] = list(dict.fromkeys(chain.from_iterable(of.checks for of in self.tables)))
        numbers = {check: number for number, check in enumerate(self.checks)}
        self.classes = [
            [[numbers[table.checks[each]] for each in checks] for checks in table.classes] for table in self.tables
        ]
        """For each table and class the places of its checks."""
        self.uses: list[list[Use]] = []
        for place in range(len(plan.spec.classes)):
            has = {number: [number in of[place] for of in self.classes] for number in range(len(self.checks))}
            self.uses.append(
                [
                    Use(number, self.checks[number].limit, None if all(tables) else np.array(tables))
                    for number, tables in has.items()
                    if any(tables)
                ]
            )

    def number(self, table: Table) -> int:
        """The place of a table."""
        return next(number for number, each in enumerate(self.tables) if each is table)


@dataclass(frozen=True, slots=True, eq=False)
class Groups:
    """Fruit that are judged by the same tables, in groups.

    ``of`` (n,) is the group of each fruit. ``codes`` and ``tables`` (ranks, groups) are the size codes a group may be
    judged for, as places in ``Graded.codes``, and the table of each; NONE past the last. A fruit without a size has one
    rank, whose code is that of its pack or NONE. ``forced`` (groups,) is the rank of the code on the pack, else NONE.
    """

    of: "Ints"
    codes: "Ints"
    tables: "Ints"
    forced: "Ints"


def code_names(plan: Plan) -> tuple[str, ...]:
    """The size codes of the spec, each once, in file order."""
    return tuple(dict.fromkeys(band.name for band in plan.spec.scale.bands))


def grouped(plan: Plan, rules: Rules, columns: Columns, sizes: tuple[Sizes, ...], size: "Ints") -> Groups:
    """Put the fruit in groups by what the size table says of them and by the code on the pack."""
    import numpy as np  # noqa: PLC0415

    labels: tuple[str | None, ...] = (None, *columns.labels) if columns.label is not None else (None,)
    names = code_names(plan)
    groups = [_group(plan, each, label) for each, label in product(sizes, labels)]
    ranks = max((len(ranked) for ranked, _ in groups), default=1)
    codes = np.full((ranks, len(groups)), NONE)
    tables = np.full((ranks, len(groups)), NONE)
    for number, (ranked, _) in enumerate(groups):
        for rank, (code, table) in enumerate(ranked):
            codes[rank, number] = NONE if code is None else names.index(code)
            tables[rank, number] = rules.number(table)
    of = size if columns.label is None else size * len(labels) + columns.label + 1
    return Groups(of, codes, tables, np.array([forced for _, forced in groups], dtype=int))


def _group(plan: Plan, sizes: Sizes, label: str | None) -> tuple[list[tuple[str | None, Table]], int]:
    """The codes with their tables, and the rank of the one on the pack, which counts where the fruit bears it out
    (``one.borne_out``)."""
    codes = list(dict.fromkeys(sizes.codes))
    if codes:
        return [(code, plan.tables[code]) for code in codes], codes.index(label) if label in codes else NONE
    if sizes.missing and label is not None and label in plan.tables:
        return [(label, plan.tables[label])], 0
    return [(None, plan.unsized if sizes.missing else plan.tables[None])], NONE
