"""The header row of a file of measured fruit: which column holds what, in the words of the trade."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from shedgrade.domain.crop import Crop, Measured

WEIGHT = "weight"
STAGE = "colour stage"
DRAW = "draw"
SIZE_CODE = "size code"
NUMBER = "fruit"

_NAMES = {
    WEIGHT: ("weight", "fruit weight"),
    STAGE: ("colour stage", "color stage", "colour", "color", "stage"),
    DRAW: ("draw", "bin", "tray"),
    SIZE_CODE: ("size code", "size", "label size"),
    NUMBER: ("fruit", "fruit number", "number"),
}
_OWN = {name: column for column, names in _NAMES.items() for name in names}
_UNITS = {
    "g": WEIGHT, "kg": WEIGHT, "lb": WEIGHT, "oz": WEIGHT,
    "cm2": Measured.AREA, "cm²": Measured.AREA, "cm^2": Measured.AREA,
    "mm2": Measured.AREA, "mm²": Measured.AREA, "mm^2": Measured.AREA,
    "%": Measured.SHARE,
}  # fmt: skip
_WITH_UNIT = re.compile(
    r"(?P<name>.+?)[\s(\[]*(?<![a-z])(?P<unit>kg|g|lb|oz|[cm]m(?:2|²|\^2)|%)[\s)\]]*", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading as written, what it holds (one of the words above, a defect kind's id, or "" for one that
    was refused), and the unit its heading gives ("" for none)."""

    heading: str
    holds: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Header:
    """The columns of a file in order, and the mistakes of the heading row: (heading, sentence)."""

    columns: tuple[Column, ...]
    mistakes: tuple[tuple[str, str], ...]

    def holds(self, what: str) -> bool:
        """Whether some column holds it."""
        return any(column.holds == what for column in self.columns)

    def defects(self, crop: Crop) -> list[str]:
        """The defect kinds that have a column."""
        return [kind.id for kind in crop.kinds if self.holds(kind.id)]


def read_header(headings: Iterable[str], crop: Crop) -> Header:
    """Find out what each column holds."""
    names = _known_names(crop)
    columns: list[Column] = []
    mistakes: list[tuple[str, str]] = []
    for place, heading in enumerate(headings, 1):
        column = _column(heading, names)
        if column is None:
            mistakes.append((heading.strip() or f"column {place}", _unknown(heading, names)))
            column = Column(heading.strip(), "")
        elif twin := next((each for each in columns if each.holds == column.holds), None):
            mistakes.append((heading, f'It holds the same as "{twin.heading}"; one column for each is accepted.'))
            column = Column(column.heading, "")
        elif sentence := _wrong_unit(column, crop):
            mistakes.append((heading, sentence))
            column = Column(column.heading, column.holds)
        columns.append(column)
    if not any(column.holds == WEIGHT for column in columns) and not any('"weight"?' in said for _, said in mistakes):
        mistakes.append(("weight", 'There is no weight column; name one "weight" or "weight g".'))
    return Header(tuple(columns), tuple(mistakes))


def plain(name: str) -> str:
    """A heading as it is compared: small letters, single spaces for hyphens and underscores."""
    return " ".join(name.lower().replace("_", " ").replace("-", " ").split())


def _known_names(crop: Crop) -> dict[str, str]:
    """Every accepted name and what it stands for; a defect kind goes by its id or its name."""
    kinds = {plain(name): kind.id for kind in crop.kinds for name in (kind.id, kind.name)}
    return {**kinds, **_OWN}


def _column(heading: str, names: Mapping[str, str]) -> Column | None:
    if (name := plain(heading)) in names:
        return Column(heading.strip(), names[name])
    found = _WITH_UNIT.fullmatch(heading.strip())
    if found is None or plain(found["name"]) not in names:
        return None
    return Column(heading.strip(), names[plain(found["name"])], found["unit"].lower())


def _wrong_unit(column: Column, crop: Crop) -> str:
    if not column.unit:
        return ""
    takes = _UNITS[column.unit]
    if column.holds == WEIGHT:
        return "" if takes == WEIGHT else "A weight is given in g, kg, lb or oz."
    if column.holds in _NAMES:
        return f'A {column.holds} has no unit; name the column "{column.holds}".'
    if takes == WEIGHT or crop.kind(column.holds).measure is Measured.PRESENT:
        kind = crop.kind(column.holds)
        return f"{kind.name.capitalize()} is measured {kind.measure.says}; leave the unit out or give that one."
    return ""


def _unknown(heading: str, names: Mapping[str, str]) -> str:
    if not heading.strip():
        return "This column has no heading; give it one, or take it out of the file."
    shown = heading.strip()[:40]
    near = get_close_matches(plain(re.sub(r"[\s(\[]*[%²\w^]*[)\]]*$", "", heading) or heading), names, n=1) or (
        get_close_matches(plain(heading), names, n=1)
    )
    if near:
        return f'"{shown}" is not known; did you mean "{near[0]}"?'
    return f'"{shown}" is not known; {WEIGHT}, {STAGE}, {DRAW}, {SIZE_CODE}, {NUMBER} or a defect is accepted.'


def measure_of(unit: str) -> Measured | None:
    """How a defect is measured whose heading gives this unit."""
    takes = _UNITS[unit]
    return takes if isinstance(takes, Measured) else None
