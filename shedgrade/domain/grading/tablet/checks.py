"""What is allowed, written for the tablet: rows with their words, limits, and for every size and class which of them
count. Equal ones stand once and are called by their number."""

from dataclasses import replace
from json import dumps

from shedgrade.domain.grading import words
from shedgrade.domain.grading.plan import Bounds, Check, Plan, Ruling, Table
from shedgrade.domain.grading.tablet.plain import Plain, ends, filled
from shedgrade.domain.spec.guards import besides_class_and_size
from shedgrade.domain.spec.measure import Take


class Checks:
    """Rows, limits and tables, numbered as they come."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._rows: dict[str, tuple[int, Plain]] = {}
        self._rulings: dict[tuple[int, tuple[tuple[int, ...], ...]], int] = {}
        self._tables: dict[tuple[tuple[int, ...], ...], int] = {}

    def written(self) -> Plain:
        """All of it. A ruling holds the number of its limit and the rows of each way; a table the rulings of each
        class, best first; ``table_of`` names the table of each size, of no size, of one that nobody knows."""
        of_sizes = {name: self._table(table) for name, table in self.plan.tables.items() if name is not None}
        without, unknown = self._table(self.plan.tables[None]), self._table(self.plan.unsized)
        return {
            "rows": [row for _, row in self._rows.values()],
            "rulings": [[limit, [list(way) for way in ways]] for limit, ways in self._rulings],
            "tables": [[list(rulings) for rulings in table] for table in self._tables],
            "table_of": {"size": of_sizes, "no size": without, "unknown": unknown},
        }

    def _table(self, table: Table) -> int:
        numbers = [self._ruling(check) for check in table.checks]
        classes = tuple(tuple(numbers[check] for check in checks) for checks in table.classes)
        return self._tables.setdefault(classes, len(self._tables))

    def _ruling(self, ruling: Check | Ruling) -> int:
        ways = ((ruling,),) if isinstance(ruling, Check) else ruling.ways
        key = ruling.limit, tuple(tuple(self._row(check) for check in way) for way in ways)
        return self._rulings.setdefault(key, len(self._rulings))

    def _row(self, check: Check) -> int:
        written = self._written(check)
        number, _ = self._rows.setdefault(dumps(written), (len(self._rows), written))
        return number

    def _written(self, check: Check) -> Plain:
        spec, row = self.plan.spec, check.row
        return {
            **_bounds(check.bounds),
            **filled(
                when=[_bounds(switch) for switch in check.switches],
                unsaid=list(check.unsaid),
                sized=bool(row.sizes),
                variety=self.plan.load.variety if row.varieties else None,
                guards=besides_class_and_size(spec, replace(row, varieties=())),
            ),
            "to": row.to.text(),
            **self._allowed(check),
        }

    def _allowed(self, check: Check) -> Plain:
        """How what is allowed is said: as a whole, or by the end that was broken."""
        spec, measure, bound = self.plan.spec, check.measure, check.row.to
        if measure.take is Take.SEVERITY:
            severity = next(each for each in spec.severities if each.id == measure.of[0])
            return {"allowed": words.steps_allowed(severity, bound)}
        if measure.take is Take.CODES:
            return {"allowed": bound.says()}
        return filled(
            nil=bound.is_nil,
            known=words.known(self.plan.test(measure), measure, bound),
            under=None if bound.low is None else words.end(spec, measure, bound.low),
            over=None if bound.high is None or bound.is_nil else words.end(spec, measure, bound.high),
        )


def _bounds(bounds: Bounds) -> Plain:
    return {"at": bounds.place, **ends(bounds.low, bounds.high)}
