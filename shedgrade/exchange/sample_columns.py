"""The header row of a file of measured fruit: which column holds what, in the words of the trade."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from shedgrade.domain.bound import Unit
from shedgrade.domain.crop import Crop, CropMeasure, DefectKind, Measured, TakenOn

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
    "%": Measured.SHARE, "mm": Measured.LENGTH, "cm": Measured.LENGTH, "brix": Unit.BRIX,
}  # fmt: skip
_STATE = ":"
_WITH_UNIT = re.compile(
    r"(?P<name>.+?)[\s(\[]*(?<![a-z])(?P<unit>kg|g|lb|oz|[cm]m(?:2|²|\^2)?|%|brix)[\s)\]]*", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading as written, what it holds, and the unit its heading gives ("" for none).

    What it holds is one of the words above, the id of a defect kind or of a measure of the crop, "kind:state" for a
    state of a kind, or "" for a heading that was refused.
    """

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

    def states_of(self, crop: Crop) -> list[str]:
        """The defect kinds whose states have columns, every one of them."""
        return [kind.id for kind in crop.kinds if kind.states and all(map(self.holds, _state_columns(kind)))]


def read_header(headings: Iterable[str], crop: Crop) -> Header:
    """Find out what each column holds."""
    names = _known_names(crop)
    columns: list[Column] = []
    mistakes: list[tuple[str, str]] = []
    for place, heading in enumerate(headings, 1):
        column = _column(heading, names)
        if column is None:
            mistakes.append((heading.strip() or f"column {place}", _unknown(heading, names, crop)))
            column = Column(heading.strip(), "")
        elif twin := next((each for each in columns if each.holds == column.holds), None):
            mistakes.append((heading, f'It holds the same as "{twin.heading}"; one column for each is accepted.'))
            column = Column(column.heading, "")
        elif sentence := _wrong_unit(column, crop):
            mistakes.append((heading, sentence))
            column = Column(column.heading, column.holds)
        columns.append(column)
    mistakes += _states_in_part(columns, crop)
    if not any(column.holds == WEIGHT for column in columns) and not any('"weight"?' in said for _, said in mistakes):
        mistakes.append(("weight", 'There is no weight column; name one "weight" or "weight g".'))
    return Header(tuple(columns), tuple(mistakes))


def plain(name: str) -> str:
    """A heading as it is compared: small letters, single spaces for hyphens and underscores."""
    return " ".join(name.lower().replace("_", " ").replace("-", " ").split())


def _known_names(crop: Crop) -> dict[str, str]:
    """Every accepted name and what it stands for; a defect kind goes by its id or its name."""
    kinds = {plain(name): kind.id for kind in crop.kinds for name in (kind.id, kind.name)}
    measures = {plain(name): each.id for each in fruit_measures(crop) for name in (each.id, each.name)}
    states = {
        plain(f"{name} {state}"): f"{kind.id}{_STATE}{state}"
        for kind in crop.kinds
        for name in (kind.id, kind.name)
        for state in kind.states
    }
    return {**states, **kinds, **measures, **_OWN}


def fruit_measures(crop: Crop) -> list[CropMeasure]:
    """What is taken of single fruit beside weight and colour."""
    return [measure for measure in crop.measures if measure.on is TakenOn.FRUIT]


def state_of(holds: str) -> tuple[str, str] | None:
    """The kind and the state that a column is about; None for all other columns."""
    kind, sign, state = holds.partition(_STATE)
    return (kind, state) if sign else None


def _state_columns(kind: DefectKind) -> list[str]:
    return [f"{kind.id}{_STATE}{state}" for state in kind.states]


def _states_in_part(columns: list[Column], crop: Crop) -> list[tuple[str, str]]:
    """A state without a column would count as not there though nobody looked: all states of a kind, or none."""
    held = {column.holds for column in columns}
    said = []
    for kind in crop.kinds:
        there = [each for each in _state_columns(kind) if each in held]
        if there and len(there) < len(kind.states):
            named = ", ".join(f'"{kind.name} {state}"' for state in kind.states)
            said.append(
                (f"{kind.name} {there[0].partition(_STATE)[2]}", f"Its states go together; {named} are accepted.")
            )
    return said


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
    if column.holds == WEIGHT:
        return "" if _UNITS[column.unit] == WEIGHT else "A weight is given in g, kg, lb or oz."
    if column.holds in _NAMES:
        return f'A {column.holds} has no unit; name the column "{column.holds}".'
    if state_of(column.holds):
        return "A state is there or not; leave the unit out."
    measure = next((each for each in fruit_measures(crop) if each.id == column.holds), None)
    return _wrong_of_kind(column, crop.kind(column.holds)) if measure is None else _wrong_of_measure(column, measure)


def _wrong_of_measure(column: Column, measure: CropMeasure) -> str:
    if column.unit in _WRITTEN.get(measure.unit, (measure.unit.value.lower(),)):
        return ""
    return f"{measure.name.capitalize()} is taken in {measure.unit or 'plain numbers'}; give that unit."


def _wrong_of_kind(column: Column, kind: DefectKind) -> str:
    if _UNITS[column.unit] in _FITS.get(kind.measure, (kind.measure,)):
        return ""
    return f"{kind.name.capitalize()} is measured {kind.measure.says}; leave the unit out or give that one."


# An area and a share of the surface can be turned into each other; nothing else can.
_FITS = dict.fromkeys((Measured.AREA, Measured.SHARE), (Measured.AREA, Measured.SHARE))
_WRITTEN = {Unit.MM: ("mm", "cm"), Unit.CM2: ("cm2", "cm²", "cm^2")}


def _unknown(heading: str, names: Mapping[str, str], crop: Crop) -> str:
    if not heading.strip():
        return "This column has no heading; give it one, or take it out of the file."
    shown = heading.strip()[:40]
    test = _test_of_load(heading, crop)
    if test is not None:
        return (
            f'"{shown}" is a test of the load, not of each fruit; take the column out and give its mean on the page of '
            f'the consignment, or to the command as --taken "{test.id}=FIGURE".'
        )
    near = get_close_matches(plain(re.sub(r"[\s(\[]*[%²\w^]*[)\]]*$", "", heading) or heading), names, n=1) or (
        get_close_matches(plain(heading), names, n=1)
    )
    if near:
        return f'"{shown}" is not known; did you mean "{near[0]}"?'
    return (
        f'"{shown}" is not known; {WEIGHT}, {STAGE}, {", ".join(_NAMES[DRAW])}, {SIZE_CODE}, {NUMBER}, a defect or a '
        "measure is accepted."
    )


def _test_of_load(heading: str, crop: Crop) -> CropMeasure | None:
    """The measure of the load that a column is called after, with a unit or without."""
    found = _WITH_UNIT.fullmatch(heading.strip())
    said = {plain(heading), plain(found["name"]) if found else ""}
    tests = [measure for measure in crop.measures if measure.on is not TakenOn.FRUIT]
    return next((each for each in tests if said & {plain(each.id), plain(each.name)}), None)


def measure_of(unit: str) -> Measured | None:
    """How a defect is measured whose heading gives this unit."""
    takes = _UNITS[unit]
    return takes if isinstance(takes, Measured) else None
