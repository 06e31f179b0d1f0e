"""The cells of a run's tally, and a letter for each row of them, so that a keyboard or scanner can name them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from shedgrade.domain.run.events import Cell, Tray
from shedgrade.domain.run.state import RunState
from shedgrade.domain.spec.model import Spec

_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_MOST_TRAYS = 200
_LINE = re.compile(r"([a-z])[\s-]*(\d{1,3}(?:\s*\+\s*\d{1,3})*)(?:\s*(?:x|\*|\s)\s*(\d{1,4}))?")


@dataclass(frozen=True, slots=True)
class CellKey:
    """One plus key: what it sends, what it is called, and how many such trays this run packed."""

    value: str
    words: str
    count: int
    trays: int


@dataclass(frozen=True, slots=True)
class ClassRow:
    """The keys of one class, and the letter that a keyboard names it by."""

    letter: str
    class_id: str
    name: str
    keys: tuple[CellKey, ...]
    mixed: tuple[tuple[str, int], ...]

    @property
    def trays(self) -> int:
        """Trays of this class, mixed ones too."""
        return sum(key.trays for key in self.keys) + sum(trays for _, trays in self.mixed)


@dataclass(frozen=True, slots=True)
class TrayGrid:
    """One tray type: its counts, and a row a class."""

    tray: Tray
    rows: tuple[ClassRow, ...]


def grids(state: RunState, spec: Spec) -> tuple[TrayGrid, ...]:
    """The whole tally, the stretches taken together."""
    return tuple(
        TrayGrid(tray, tuple(row for of, row in _rows(state, spec) if of is tray)) for tray in state.started.trays
    )


def cell_named(value: str, state: RunState, spec: Spec) -> Cell | None:
    """The cell of the stretch packed now that a key sends ("1|I|16"); None for what is none of the keys."""
    for tray, row in _rows(state, spec):
        for key in row.keys:
            if key.value == value:
                return Cell(state.stretch.number, row.class_id, tray.id, (key.count,))
    return None


def line_read(text: str, state: RunState, spec: Spec) -> tuple[Cell, int]:
    """The cell and the trays that a typed or scanned line means: "b18", "b18 x3", "b16+18"; ValueError, whose text says
    what is accepted."""
    found = _LINE.fullmatch(text.strip().lower())
    rows = {row.letter: (tray, row.class_id) for tray, row in _rows(state, spec)}
    if found is None or found[1] not in rows:
        last = max(rows)
        raise ValueError(
            f"Type the letter of a row (a to {last}) and a count, like a16; three of them at once are a16 x3, a tray "
            "of two counts is a16+18."
        )
    tray, class_id = rows[found[1]]
    counts = tuple(sorted({int(each) for each in found[2].split("+")}))
    if not set(counts) <= set(tray.counts):
        raise ValueError(f"{tray.name} is packed in counts {', '.join(map(str, tray.counts))}.")
    trays = int(found[3] or 1)
    if not 1 <= trays <= _MOST_TRAYS:
        raise ValueError(f"From 1 to {_MOST_TRAYS} trays are taken at once.")
    return Cell(state.stretch.number, class_id, tray.id, counts), trays


def cell_words(cell: Cell, state: RunState, spec: Spec) -> str:
    """A cell as it is said: "Class I, count 16", with the tray type where a run packs several."""
    names = {each.id: each.name for each in spec.classes}
    words = f"{names.get(cell.class_id, cell.class_id)}, count {'+'.join(map(str, cell.counts))}"
    tray = state.tray(cell.tray_id)
    return f"{words}, {tray.name}" if tray is not None and len(state.started.trays) > 1 else words


def _rows(state: RunState, spec: Spec) -> Iterator[tuple[Tray, ClassRow]]:
    packed = state.trays_by_count()
    letters = iter(_LETTERS)
    for tray in state.started.trays:
        for each, letter in zip(spec.classes, letters, strict=False):
            keys = tuple(
                CellKey(
                    f"{tray.id}|{each.id}|{count}",
                    cell_words(Cell(1, each.id, tray.id, (count,)), state, spec),
                    count,
                    packed.get((each.id, tray.id, (count,)), 0),
                )
                for count in tray.counts
            )
            mixed = tuple(
                ("+".join(map(str, counts)), trays)
                for (class_id, tray_id, counts), trays in sorted(packed.items())
                if (class_id, tray_id) == (each.id, tray.id) and len(counts) > 1 and trays
            )
            yield tray, ClassRow(letter, each.id, each.name, keys, mixed)
