"""What a spec says of many fruit, as arrays; and of one of them, when somebody asks."""

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from shedgrade.domain.bound import Bound
from shedgrade.domain.grading.many.columns import Columns
from shedgrade.domain.grading.many.sizes import MISFITS
from shedgrade.domain.grading.many.tables import NONE, Groups
from shedgrade.domain.grading.many.taking import Taking
from shedgrade.domain.grading.one import Judged, borne_out, grade
from shedgrade.domain.grading.plan import Plan
from shedgrade.domain.grading.takes import Sizes, Taken
from shedgrade.domain.grading.verdict import Verdict
from shedgrade.domain.spec.model import Outlet, Spec
from shedgrade.domain.trays.counts import CountResult, TrayType

if TYPE_CHECKING:
    from shedgrade.domain.grading.many.whole import Bits, Bools, Ints


class Missed(NamedTuple):
    """One way of a limit that kept a fruit out of a class: its figure in base units, whether there may be more, and
    what is allowed."""

    class_id: str
    limit_id: str
    value: Fraction
    at_least: bool
    allowed: Bound


@dataclass(frozen=True, slots=True)
class Placing:
    """Where a fruit comes out: those fields of its verdict that a price goes by."""

    class_id: str | None
    count: CountResult | None
    outlet: Outlet | None


@dataclass(frozen=True, slots=True, eq=False)
class Graded:
    """The verdicts on n fruit.

    ``place`` (n,) is the class as its place in the spec, best first; the number of classes stands for none.
    ``judged_as`` (n,) is the size code it was judged for as its place in ``codes``, else NONE. ``count`` (n,) is the
    count on the tray, TOO_LIGHT or TOO_HEAVY, 0 without a tray or a class. ``outlet`` (n,) is the place of the outlet
    in the spec, NONE for what is packed. ``severities`` (severities, n) are numbers of steps, NONE where not known.
    ``sizes`` are the different answers of the size table, ``size`` (n,) the place of each fruit's own.

    Read ``broken``, ``unsure`` and ``by_code`` rather than what they are kept as: ``broken_bits`` and ``unsure_bits``
    hold eight fruit a byte; ``by_rank`` (ranks, n) has the class for each code the fruit may be judged for, NONE past
    the last, and no row where no fruit may be judged for two.
    """

    plan: Plan
    columns: Columns
    tray: TrayType | None
    sizes: tuple[Sizes, ...]
    size: "Ints"
    groups: Groups
    place: "Ints"
    judged_as: "Ints"
    count: "Ints"
    outlet: "Ints"
    broken_bits: "Bits"
    unsure_bits: "Bits"
    severities: "Ints"
    by_rank: "Ints"

    def __len__(self) -> int:
        """The number of fruit."""
        return len(self.columns)

    @property
    def broken(self) -> "Bools":
        """The limits a fruit breaks of each class better than its own, bool (classes, limits, n)."""
        return _unpacked(self.broken_bits, len(self))

    @property
    def unsure(self) -> "Bools":
        """The limits of its own class that could not be judged, bool (limits, n)."""
        return _unpacked(self.unsure_bits, len(self))

    @property
    def codes(self) -> tuple[str, ...]:
        """The size codes of the spec, each once, in file order."""
        return self.plan.spec.scale.names

    @property
    def has_code(self) -> "Bools":
        """Which codes the fruit have, bool (codes, n)."""
        import numpy as np  # noqa: PLC0415

        known = np.array([[code in each.codes for each in self.sizes] for code in self.codes], dtype=bool)
        return known.reshape(len(self.codes), len(self.sizes))[:, self.size]

    @property
    def by_code(self) -> "Ints":
        """The class for each code as its place in the spec (codes, n), NONE where the fruit does not have the code."""
        import numpy as np  # noqa: PLC0415

        has = self.has_code
        found: Ints = np.full((len(self.codes), len(self)), NONE)
        for codes, places in zip(self.groups.codes, self.by_rank if len(self.by_rank) else [self.place], strict=True):
            code = codes[self.groups.of]
            rows = np.flatnonzero(code != NONE)
            rows = rows[has[code[rows], rows]]
            found[code[rows], rows] = places[rows]
        return found

    def taking(self, first: int, last: int) -> Taking:
        """The figures of the fruit at places from ``first`` to before ``last``."""
        return Taking(self.plan, self.columns.part(first, last), self.sizes, self.size[first:last])

    @property
    def spec(self) -> Spec:
        """The spec they were judged under."""
        return self.plan.spec

    @property
    def number_unsure(self) -> int:
        """How many fruit have a limit of their class that could not be judged."""
        import numpy as np  # noqa: PLC0415

        return int(np.bitwise_count(np.bitwise_or.reduce(self.unsure_bits)).sum())

    def class_ids(self) -> list[str | None]:
        """The class of each fruit, None for no class."""
        ids = [*(each.id for each in self.spec.classes), None]
        return [ids[place] for place in self.place.tolist()]

    def class_id(self, place: int) -> str | None:
        """The class of the fruit at a place."""
        return self._class_at(int(self.place[place]))

    def by_class(self) -> Counter[str | None]:
        """How many fruit make each class, None for no class; classes without fruit are left out."""
        import numpy as np  # noqa: PLC0415

        number = np.bincount(self.place, minlength=len(self.spec.classes) + 1)
        return Counter({self._class_at(place): int(fruit) for place, fruit in enumerate(number) if fruit})

    def placing(self, place: int) -> Placing:
        """Where the fruit at a place comes out."""
        class_id, count, outlet = self.class_id(place), int(self.count[place]), int(self.outlet[place])
        counted = None
        if self.tray is not None and class_id is not None:
            counted = CountResult(None, MISFITS[count]) if count in MISFITS else CountResult(count)
        return Placing(class_id, counted, None if outlet == NONE else self.spec.outlets[outlet])

    def verdict(self, place: int) -> Verdict:
        """The whole verdict on the fruit at a place, with its sentences and sources; worked out anew."""
        spec, load, fruit = self.spec, self.plan.load, self.columns.fruit(place)
        return grade(spec, fruit, self.tray, borne_out(spec, fruit, self.columns.code(place), load), load)

    def missed(self, place: int) -> tuple[Missed, ...]:
        """Why the fruit at a place missed the better classes, from its columns: a line for each way of each limit."""
        spec, judged_as = self.spec, int(self.judged_as[place])
        code = None if judged_as == NONE else self.codes[judged_as]
        figures = _FiguresOfOne(self.taking(place, place + 1))
        judged = Judged(self.plan, self.plan.seen(self.columns.fruit(place)), figures, code)
        table = self.plan.tables[code] if code is not None or self._sized(place) else self.plan.unsized
        return tuple(
            Missed(each.id, spec.limits[way_of.limit].id, way.value, way.at_least, way.allowed)
            for number, each in enumerate(spec.classes[: int(self.place[place])])
            for way_of in (table.checks[check] for check in table.classes[number])
            if self.broken_bits[number, way_of.limit, place // 8] >> (7 - place % 8) & 1
            for way in judged.reason(each.id, way_of).ways
        )

    def _sized(self, place: int) -> bool:
        return not self.sizes[self.size[place]].missing

    def _class_at(self, place: int) -> str | None:
        classes = self.spec.classes
        return classes[place].id if place < len(classes) else None


def _unpacked(bits: "Bits", length: int) -> "Bools":
    import numpy as np  # noqa: PLC0415

    return np.unpackbits(bits, axis=-1, count=length).view(bool)


class _FiguresOfOne:
    """The figures of a block of one fruit, one by one."""

    def __init__(self, taking: Taking) -> None:
        self._taking = taking

    def __getitem__(self, place: int, /) -> Taken:
        return self._taking[place].at(0)
