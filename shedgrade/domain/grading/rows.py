"""Which rows of a limit may speak of a package: what class, label and load settle before any fruit is looked at."""

from typing import NamedTuple

from shedgrade.domain.grading.facts import Load
from shedgrade.domain.spec.limit import Row


class UnsaidError(Exception):
    """A row asks for something of the load that nobody said; ``missing`` names it in words."""

    def __init__(self, missing: tuple[str, ...]) -> None:
        super().__init__(", ".join(missing))
        self.missing = missing


class _Asked(NamedTuple):
    """One thing a row may ask of a load: its word, whether the row asks, whether it was said, whether it fits."""

    word: str
    asks: bool
    said: bool
    fits: bool


def rows_for(rows: tuple[Row, ...], class_id: str, code: str | None, load: Load) -> list[Row]:
    """The rows that may count, in order, up to the first one that no fruit can switch off.

    UnsaidError when one of them asks for what nobody said.
    """
    found: list[Row] = []
    for row in rows:
        asked = [each for each in _asked(row, load) if each.asks]
        if not row.fits(class_id, code) or any(each.said and not each.fits for each in asked):
            continue
        missing = tuple(each.word for each in asked if not each.said)
        if missing:
            raise UnsaidError(missing)
        found.append(row)
        if not row.when:
            break
    return found


def _asked(row: Row, load: Load) -> tuple[_Asked, ...]:
    day, days = load.day, row.days
    inside = day is not None and days is not None and days.holds(day.month, day.day)
    words = (
        ("variety", row.varieties, load.variety),
        ("stage of marketing", row.stages, load.stage),
        ("destination", row.destinations, load.destination),
        ("where it was grown", row.grown_in, load.grown_in),
        ("presentation", row.presentations, load.presentation),
    )
    return (
        *(_Asked(word, bool(asked), said is not None, said in asked) for word, asked, said in words),
        _Asked("day", days is not None, day is not None, inside),
    )
