"""How a column and its value are said in the history: ids by names, weights with units, days as people write them."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from shedgrade.domain.sampling.question import Question
from shedgrade.domain.spec import library
from shedgrade.domain.units import THIN, digits, say_area, say_hectares, say_mass, say_weight
from shedgrade.storage.history import Told
from shedgrade.storage.names import Row, SampleCalled
from shedgrade.storage.nouns import SIGN_IN

# The columns that point at another row, and the table it is in.
_POINTS = {
    "grower_id": "grower",
    "block_id": "block",
    "market_id": "market",
    "docket_id": "docket",
    "bin_type_id": "bin_type",
    "tray_type_id": "tray_type",
    "tray_type_ids": "tray_type",
    "spec_version_id": "spec_version",
    "based_on_id": "spec_version",
    "published_as_id": "spec_version",
    "carried_from_id": "spec_version",
    "person_id": "person",
}
_TOLD_BY_NAME = {
    "person": "person",
    SIGN_IN: "person",
    "tablet": "tablet",
    "scale": "scale",
    "spec": "spec_version",
    "spec draft": "spec_draft",
}
_LABELS = {
    "crop_id": "fruit",
    "area_m2": "area",
    "tray_type_ids": "tray types",
    "spec_version_id": "spec",
    "received_at": "time received",
    "picked_from": "start of picking",
    "picked_to": "end of picking",
    "pulp_ddeg": "pulp temperature",
    "grower_bins": "bins the grower counted",
    "number": "docket number",
    "team": "picking team",
    "finished_at": "end of the run",
    "gross_g": "weight with its fruit",
    "tare_g": "weight empty",
    "weighed_at": "time weighed",
}
_UNITS = ("_id", "_m2", "_mm2", "_dg", "_ddeg", "_g", "_bp")
_DAYS = frozenset({"valid_from", "valid_until", "weighed_on", "read_on", "taken_on"})


def rows_named(told: Told) -> Iterator[Row]:
    """The rows whose names are needed to tell a change."""
    if table := _TOLD_BY_NAME.get(told.noun):
        yield table, told.row_id
    for column, value in (*told.before.items(), *told.after.items()):
        if table := _POINTS.get(column):
            yield from ((table, each) for each in _each(value))


def label(column: str) -> str:
    """What people call a column."""
    if column in _LABELS:
        return _LABELS[column]
    unit = next((unit for unit in _UNITS if column.endswith(unit)), "")
    return column.removesuffix(unit).replace("_", " ")


@dataclass(frozen=True, slots=True)
class Say:
    """Says values: ``names`` holds the rows of ``rows_named``, ``day`` and ``moment`` say times in the shed's own;
    ``samples`` are those that are told beside others, and so by what they are drawn from and when they were started."""

    names: Mapping[Row, str]
    day: Callable[[date], str]
    moment: Callable[[datetime], str]
    samples: Mapping[Row, SampleCalled] = field(default_factory=dict)

    def name(self, table: str, row_id: int) -> str:
        """What a row is called."""
        return self.names.get((table, row_id), f"{table.replace('_', ' ')} {row_id}")

    def sample(self, told: Told) -> str:
        """The sample that a change was made of or in; "" where there is one only."""
        called = self.samples.get((told.noun, told.row_id))
        if called is None:
            return ""
        return f"the sample of {self.value('question', called.question)} started {self.moment(called.started_at)}"

    def value(self, column: str, value: Any) -> str:
        """A value in words; "" for an empty one."""
        if value is None or value == "":
            return ""
        if table := _POINTS.get(column):
            return ", ".join(self.name(table, each) for each in _each(value))
        if column in _DAYS:
            return self.day(date.fromisoformat(value))
        if column.endswith("_at") or column.startswith("picked_"):
            return self.moment(datetime.fromisoformat(value))
        return _plain(column, value)


def _plain(column: str, value: Any) -> str:
    if column == "crop_id":
        crop = library.crops().get(value)
        return str(value) if crop is None else crop.name
    if column == "question":
        return Question(value).label.lower()
    for ending, say in (("_mm2", say_area), ("_m2", say_hectares), ("_dg", say_weight)):
        if column.endswith(ending):
            return say(value)
    if column.endswith("_ddeg"):
        return f"{digits(Fraction(value, 10), 1)}{THIN}°C"
    return say_mass(value, 3, trim=True) if column.endswith("_g") else str(value)


def _each(value: Any) -> list[int]:
    return list(value) if isinstance(value, list) else [] if value is None else [value]
