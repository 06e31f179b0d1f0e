"""A CSV file of measured fruit, read whole before anything is done with it: every mistake is found at once.

The first row names the columns (:mod:`shedgrade.exchange.sample_columns`); every other row is one fruit. Text is
UTF-8, with or without a byte-order mark; columns are parted by commas, semicolons or tabs; decimals have a point or a
comma, which then needs semicolons, tabs or quotes. A cell of a defect that is empty or 0 means it was looked for and
not there; a kind without a column was not looked for. Several marks of a kind stand as "10 + 5 + 3". A state of a kind
has a column of its own ("sunburn progressive"), yes or no; a measure of the fruit ("diameter mm") is empty where it was
not taken. Without a draw column all fruit are one draw.
"""

import codecs
import csv
from collections.abc import Iterator
from dataclasses import dataclass, field
from io import StringIO
from typing import NoReturn

from shedgrade.domain.crop import Crop, Measured
from shedgrade.domain.entry import EntryError
from shedgrade.domain.fruit_entry import FruitMistakes, FruitReader, Typed, is_there
from shedgrade.domain.grading.facts import NOTHING_SAID, Fruit, Load
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import digits
from shedgrade.exchange import sample_columns
from shedgrade.exchange.sample_columns import DRAW, NUMBER, SIZE_CODE, STAGE, WEIGHT, Column, Header, read_header

MOST_ROWS = 200_000
SHOWN = 50
_DELIMITERS = ",;\t"
_OTHER_ENCODINGS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


@dataclass(frozen=True, slots=True)
class FileFruit:
    """One row: the line it stands in, the draw it names ("" without a draw column), the fruit, the size code on its
    pack if one was named."""

    line: int
    draw: str
    fruit: Fruit
    size_code: str | None


@dataclass(frozen=True, slots=True)
class SampleFile:
    """A file without a mistake. ``looked_for`` holds the defect kinds that have a column."""

    fruit: tuple[FileFruit, ...]
    looked_for: frozenset[str]
    has_draws: bool
    draw_heading: str

    @property
    def draws(self) -> tuple[str, ...]:
        """The draws named, each once, in the order they come."""
        return tuple(dict.fromkeys(each.draw for each in self.fruit))


@dataclass(frozen=True, slots=True)
class FileMistake:
    """One mistake: its line, counted from 1, its column's heading ("" for the whole line or file), what was found and
    what would be accepted."""

    line: int
    column: str
    sentence: str

    def says(self) -> str:
        """One line for people."""
        return f"Line {self.line}{f', {self.column}' if self.column else ''}: {self.sentence}"


class FileMistakes(ValueError):  # noqa: N818 - it holds all the mistakes of a file, not one error
    """A file that cannot be taken. ``mistakes`` holds the first of them in order, ``more`` counts the rest."""

    def __init__(self, mistakes: list[FileMistake], more: int = 0) -> None:
        self.mistakes = tuple(mistakes)
        self.more = more
        rest = [f"and {digits(more)} more"] if more else []
        super().__init__("\n".join([*(mistake.says() for mistake in mistakes), *rest]))


def read_sample(content: bytes, crop: Crop, spec: Spec | None = None, load: Load = NOTHING_SAID) -> SampleFile:
    """Read a file of fruit of the crop; with a spec, a size code must be one that it gives the fruit of this load.
    FileMistakes."""
    text = _decoded(content)
    rows = _Rows(text)
    heading = next(iter(rows), None)
    if heading is None:
        raise FileMistakes(rows.mistakes or [FileMistake(1, "", _EMPTY)])
    header = read_header(heading[1], crop)
    reading = _FruitRows(header, crop, spec, load)
    for column, sentence in header.mistakes:
        reading.note(FileMistake(heading[0], column, sentence))
    return reading.read(rows)


_EMPTY = 'The file is empty; a first row of column names such as "weight g" and a row a fruit are accepted.'


def _decoded(content: bytes) -> str:
    if content.startswith(b"PK\x03\x04"):
        _refuse(1, "This is a spreadsheet workbook, not a CSV file; save it as CSV (UTF-8) and send that.")
    if content.startswith(_OTHER_ENCODINGS):
        _refuse(1, "The file is written in UTF-16; save it as CSV (UTF-8) and send that.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as mistake:
        line = content.count(b"\n", 0, mistake.start) + 1
        _refuse(line, "A letter here is not written in UTF-8; save the file as CSV (UTF-8) and send that.")
    if "\0" in text:
        _refuse(text.count("\n", 0, text.index("\0")) + 1, "This is not a text file; a CSV file (UTF-8) is accepted.")
    return text


def _refuse(line: int, sentence: str) -> NoReturn:
    raise FileMistakes([FileMistake(line, "", sentence)])


class _Rows:
    """The rows of a text that hold something, each with the line it begins in; a broken quote ends them."""

    def __init__(self, text: str) -> None:
        self.mistakes: list[FileMistake] = []
        self._text = text

    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        lines = StringIO(self._text, newline="")
        reader = csv.reader(lines, delimiter=_delimiter(self._text), strict=True, skipinitialspace=True)
        line = 1
        try:
            for cells in reader:
                if any(cell.strip() for cell in cells):
                    yield line, cells
                line = reader.line_num + 1
        except csv.Error:
            sentence = "A quote opened here is not closed before the file ends, or text stands behind it; check it."
            self.mistakes.append(FileMistake(line, "", sentence))


def _delimiter(text: str) -> str:
    """What parts the columns, by the row of names. A single column needs none: then a comma is a decimal comma."""
    first = next((line for line in StringIO(text) if line.strip()), "")
    return max(_DELIMITERS, key=first.count) if any(each in first for each in _DELIMITERS) else ";"


@dataclass(slots=True)
class _FruitRows:
    """Reads the rows below the header, keeping the fruit and the mistakes."""

    header: Header
    crop: Crop
    spec: Spec | None
    load: Load
    fruit: list[FileFruit] = field(default_factory=list)
    mistakes: list[FileMistake] = field(default_factory=list)
    more: int = 0

    def read(self, rows: _Rows) -> SampleFile:
        reader = self._reader()
        readable = self.header.holds(WEIGHT)  # without weights every row would only say so again
        count = -1
        for line, cells in rows:
            count += 1
            if readable and 0 < count <= MOST_ROWS:
                self._row(reader, line, cells)
        for mistake in rows.mistakes:
            self.note(mistake)
        if count > MOST_ROWS:
            self.note(
                FileMistake(
                    1, "", f"{digits(count)} fruit stand in the file; at most {digits(MOST_ROWS)} are accepted."
                )
            )
        if count < 1 and not self.mistakes:
            self.note(FileMistake(1, "", "There is no fruit below the column names; a row a fruit is accepted."))
        if self.mistakes:
            raise FileMistakes(self.mistakes, self.more)
        draw = next((column for column in self.header.columns if column.holds == DRAW), None)
        heading = sample_columns.plain(draw.heading) if draw else ""
        return SampleFile(tuple(self.fruit), reader.looked_for or frozenset(), draw is not None, heading)

    def _reader(self) -> FruitReader:
        units = {column.holds: sample_columns.measure_of(column.unit) for column in self.header.columns if column.unit}
        return FruitReader(
            self.crop,
            self.spec,
            looked_for=frozenset(self.header.defects(self.crop)),
            by_share=frozenset(holds for holds, measure in units.items() if measure is Measured.SHARE),
            by_area=frozenset(holds for holds, measure in units.items() if measure is Measured.AREA),
            states_of=frozenset(self.header.states_of(self.crop)),
            load=self.load,
        )

    def _row(self, reader: FruitReader, line: int, cells: list[str]) -> None:
        columns = self.header.columns
        if len(cells) > len(columns) and any(cell.strip() for cell in cells[len(columns) :]):
            self.note(FileMistake(line, "", _too_many(len(cells), len(columns))))
            return
        held = {column.holds: _with_unit(cell.strip(), column) for column, cell in zip(columns, cells, strict=False)}
        draw = " ".join(held.get(DRAW, "").split())
        if self.header.holds(DRAW) and not draw:
            self.note(FileMistake(line, self._heading(DRAW), "Nothing stands here; say which draw the fruit is from."))
        typed = self._typed(line, held)
        try:
            fruit, code = reader.read(typed)
        except FruitMistakes as mistakes:
            for name, sentence in mistakes.by_field.items():
                self.note(FileMistake(line, self._heading(_COLUMN_OF.get(name, name)), sentence))
            return
        self.fruit.append(FileFruit(line, draw[:_LONGEST_DRAW], fruit, code))

    def _typed(self, line: int, held: dict[str, str]) -> Typed:
        own = (WEIGHT, STAGE, SIZE_CODE, DRAW, NUMBER, "")
        measures = {each.id for each in sample_columns.fruit_measures(self.crop)}
        marks: dict[str, str] = {}
        taken: dict[str, str] = {}
        states: dict[str, list[str]] = {}
        for holds, text in held.items():
            if not text or holds in own:
                continue
            if state := sample_columns.state_of(holds):
                states.setdefault(state[0], []).extend([state[1]] if self._there(line, holds, text) else [])
            else:
                (taken if holds in measures else marks)[holds] = text
        return Typed(held.get(WEIGHT, ""), held.get(STAGE, ""), held.get(SIZE_CODE, ""), marks, (), states, taken)

    def _there(self, line: int, holds: str, text: str) -> bool:
        there = is_there(text)
        if isinstance(there, EntryError):
            self.note(FileMistake(line, self._heading(holds), str(there)))
            return False
        return there

    def _heading(self, holds: str) -> str:
        return next((column.heading for column in self.header.columns if column.holds == holds), holds)

    def note(self, mistake: FileMistake) -> None:
        """Write a mistake down, or count it once there are many."""
        if len(self.mistakes) < SHOWN:
            self.mistakes.append(mistake)
        else:
            self.more += 1


_LONGEST_DRAW = 40
_COLUMN_OF = {"weight": WEIGHT, "stage": STAGE, "size_code": SIZE_CODE}


def _with_unit(cell: str, column: Column) -> str:
    """A bare number gets the unit of the heading; of several marks, "10 + 5", each does."""
    if "+" in cell:
        return "+".join(_with_unit(part.strip(), column) for part in cell.split("+"))
    is_bare = column.unit and cell[-1:].isdigit() and not any(sign.isalpha() for sign in cell)
    return f"{cell} {column.unit}" if is_bare else cell


def _too_many(found: int, named: int) -> str:
    return (
        f"{found} cells stand here under {named} column names; as many are accepted. Decimal commas need semicolons "
        "between the columns."
    )
