"""A table of a spec file that hands out each key as the kind of value wanted, and notes a mistake where it is not.

After a mistake it hands out something harmless and reading goes on, so that one look finds all mistakes.
"""

import re
from collections.abc import Collection, Mapping
from datetime import date, datetime
from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

from shedgrade.domain.bound import ANY, Bound, Unit, UnreadableError, read_figure, written_figure
from shedgrade.domain.entry.bounds import BoundError, Typed, Wanted, read_bound
from shedgrade.domain.spec.bound_slips import exceeds_whole, figures_in, instead_of, is_share, too_much
from shedgrade.domain.spec.mistakes import Notebook, Wrong, suggestion
from shedgrade.domain.spec.places import Place

Choice = TypeVar("Choice", bound=StrEnum)
Fallback = TypeVar("Fallback")

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_NOT_PLAIN = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")  # Unicode's control signs and surrogates
_LONGEST = 2000
_SHOWN = 200
_HUGE = 10**6


class Table:
    """One table being read. ``place`` is the way to it from the top of the file; None counts as left out."""

    def __init__(self, data: Mapping[str, object], notebook: Notebook, place: Place = ()) -> None:
        self._data = {key: value for key, value in data.items() if value is not None}
        self._asked: set[str] = set()
        self._offered: set[str] = set()
        self.notebook = notebook
        self.place = place

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys written, in file order."""
        return tuple(self._data)

    @property
    def is_sound(self) -> bool:
        """Whether no mistake has been noted in it or below it."""
        size = len(self.place)
        return all(mistake.place[:size] != self.place for mistake in self.notebook.mistakes)

    def has(self, key: str) -> bool:
        """Whether the key is written; it may be."""
        self._offered.add(key)
        return key in self._data

    def written(self, key: str) -> str:
        """The text under a key as it stands; "" where there is none."""
        value = self._data.get(key)
        return value if isinstance(value, str) else ""

    def note(
        self, key: str, found: str, accepted: str, sort: Wrong = Wrong.OTHER, offers: tuple[str, ...] = ()
    ) -> None:
        """Note a mistake at one of this table's keys, or at the table where the key is empty."""
        self.notebook.note((*self.place, key) if key else self.place, found, accepted, sort, offers)

    def refuse(self, key: str, accepted: str) -> None:
        """Note a key that may not stand here."""
        self._asked.add(key)
        self.note(key, key, accepted, Wrong.NOT_HERE)

    def text(self, key: str, default: str | None = None, *, may_be_empty: bool = False) -> str:
        """A text; may be left out only when there is a default."""
        value = self._get(key, "a text in quotes", required=default is None)
        if value is None:
            return default or ""
        if not isinstance(value, str):
            return self._wrong(key, value, "a text in quotes", default or "")
        if not value.strip() and not may_be_empty:
            return self._wrong(key, value, "a text that says something", "")
        if not _is_plain(value):
            return self._wrong(key, value, f"one paragraph of plain text, at most {_LONGEST} signs", "")
        return value

    def id(self, key: str = "id") -> str:
        """An id: lower-case letters, figures and single hyphens."""
        value = self.text(key)
        if value and not _ID.fullmatch(value):
            return self._wrong(key, value, 'lower-case letters, figures and hyphens, such as "sap-stain"', "")
        return value

    def day(self, key: str, default: str) -> str:
        """A day such as 2026-03-01, written as a text or as TOML's own date; may be left out."""
        accepted = "a day such as 2026-03-01"
        value = self._get(key, accepted, required=False)
        if value is None or value == "":
            return default if value is None else ""
        if isinstance(value, date) and not isinstance(value, datetime):
            return value.isoformat()
        if not isinstance(value, str) or not _DAY.fullmatch(value):
            return self._wrong(key, value, accepted, default)
        try:
            return date.fromisoformat(value).isoformat()
        except ValueError:
            return self._wrong(key, value, accepted, default)

    def own_id(self, taken: Collection[str]) -> str:
        """An id that none of these has already."""
        value = self.id()
        if value in taken:
            return self._wrong("id", value, "another word: this one already means something else", "")
        return value

    def pass_over(self, key: str) -> None:
        """A key that may stand here and is not read, because of another mistake."""
        self._asked.add(key)

    def flag(self, key: str, *, default: bool | None = None) -> bool:
        """A yes or no; may be left out only when there is a default."""
        value = self._get(key, "true or false", required=default is None)
        if value is None and default is not None:
            return default
        return value if isinstance(value, bool) else self._wrong(key, value, "true or false", fallback=False)

    def number(self, key: str) -> int:
        """A whole number, 0 or more."""
        value = self._get(key, "a whole number")
        if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= _HUGE:
            return value
        return self._wrong(key, value, "a whole number, 0 or more", 0)

    def times(self, key: str) -> Fraction | None:
        """How many times as much, 1 or more: 2, or "1 1/2"; None when left out."""
        accepted = 'how many times as much, 1 or more, such as 2 or "1 1/2"'
        value = self._get(key, accepted, required=False)
        if value is None:
            return None
        try:
            times = read_figure(str(value)) if isinstance(value, int | float | str) else Fraction(0)
        except ValueError:
            times = Fraction(0)
        return times if times >= 1 else self._wrong(key, value, accepted, None)

    def quantity(self, key: str, unit: Unit) -> Fraction:
        """A figure over 0 with its unit, "63.5 mm", in base units."""
        accepted = f'a figure over 0 in {unit}, such as "100 {unit}"'
        value = self._get(key, accepted)
        figure = Fraction(0)
        try:
            if isinstance(value, Typed):
                figure = _one_end(read_bound(value, Wanted((unit,), at_most=True)))
            elif isinstance(value, str) and value.strip().endswith(unit):
                figure = read_figure(value.strip().removesuffix(unit)) * unit.base
        except BoundError as error:
            figures = [each for bound in error.bounds if (each := _one_end(bound))]
            if figures:
                offers = tuple(f"{written_figure(each / unit.base)} {unit}" for each in figures)
                self.note(key, error.found, accepted, Wrong.MISWRITTEN, offers)
                return Fraction(1)
        except ValueError:
            pass
        return figure or self._wrong(key, value, accepted, Fraction(1))

    def choice(self, key: str, among: type[Choice], default: Choice | None = None) -> Choice:
        """One of the words of a list; may be left out only when there is a default."""
        found = self.choice_or_none(key, list(among), default)
        return next(iter(among)) if found is None else found

    def choice_or_none(self, key: str, among: Collection[Choice], default: Choice | None = None) -> Choice | None:
        """One of the words; None when that was a mistake."""
        value = self._get(key, "", required=False)
        if value is None and default is not None:
            return default
        words = {member.value: member for member in among}
        if isinstance(value, str) and value in words:
            return words[value]
        if value is None:
            self.note(key, "nothing", suggestion("", words)[0], Wrong.MISSING)
        else:
            self.note(key, _shown(value), *suggestion(str(value), words))
        return None

    def choices(self, key: str, among: type[Choice]) -> tuple[Choice, ...]:
        """One word or several of a list."""
        words = self.known(key, [member.value for member in among])
        return tuple(member for word in words for member in among if member.value == word)

    def bound(self, key: str, units: Collection[Unit], *, at_most: bool = False, counted: str = "") -> Bound:
        """A bound written in one of the units, that of the figure itself first; "nil" and "any" need none. A figure
        in % is a share, and no share is more than the whole. One that a person typed may be written as people do:
        ``at_most`` and ``counted`` are what ``Wanted`` says of it."""
        value = self._get(key, figures_in(units))
        if isinstance(value, Typed):
            return self._typed_bound(key, value, Wanted(units, at_most, counted))
        return self._written_bound(key, value, Wanted(units, at_most, counted))

    def _written_bound(self, key: str, value: object, wanted: Wanted) -> Bound:
        units, accepted = wanted.units, figures_in(wanted.units)
        if not isinstance(value, str):
            return self._wrong(key, value, accepted, ANY)
        try:
            bound = Bound.parse(value)
        except UnreadableError:
            self.note(key, _shown(value), *instead_of(value, wanted))
            return ANY
        except ValueError as error:
            return self._wrong(key, value, str(error), ANY)
        if bound.unit not in units and not bound.is_any and value.strip() != "nil":
            return self._wrong(key, value, accepted, ANY, Wrong.OTHER_UNIT)
        if is_share(units) and exceeds_whole(bound):
            self.note(key, _shown(value), *too_much(value, wanted))
            return ANY
        return bound

    def _typed_bound(self, key: str, text: str, wanted: Wanted) -> Bound:
        try:
            return read_bound(text, wanted)
        except BoundError as error:
            self.note(key, error.found, error.accepted, Wrong.UNREADABLE, error.offers)
            return ANY

    def words(self, key: str, *, required: bool = True) -> tuple[str, ...]:
        """A text or a list of texts."""
        accepted = "a text or a list of texts, at least one"
        value = self._get(key, accepted, required=required)
        if value is None:
            return ()
        listed = value if isinstance(value, list) else [value]
        if not listed or not all(isinstance(word, str) and word.strip() and _is_plain(word) for word in listed):
            return self._wrong(key, value, accepted, ())
        if len(set(listed)) != len(listed):
            return self._wrong(key, value, "each word once", (), Wrong.TWICE)
        return tuple(listed)

    def known(self, key: str, among: Collection[str], *, required: bool = True) -> tuple[str, ...]:
        """A text or a list of texts, each one of the words known."""
        words = self.words(key, required=required)
        for word in words:
            if word not in among:
                self.note(key, f'"{word}"', *suggestion(word, among))
        return words

    def known_word(self, key: str, among: Collection[str]) -> str:
        """One text, one of the words known."""
        word = self.text(key)
        if word and word not in among:
            self.note(key, f'"{word}"', *suggestion(word, among))
        return word

    def own_words(self, key: str) -> tuple[str, ...]:
        """A word or a list of words that a spec coins for itself: lower-case, so that no two differ by a capital."""
        words = self.words(key, required=False)
        for word in words:
            if word != word.strip().lower():
                self.note(key, f'"{word}"', f'lower-case words, such as "{word.strip().lower()}"')
        return words

    def table(self, key: str) -> "Table":
        """A table inside this one."""
        value = self._get(key, f"a table [{key}]")
        if not isinstance(value, dict):
            value = self._wrong(key, value, f"a table [{key}]", {})
        return Table(value, self.notebook, (*self.place, key))

    def listing(self, key: str) -> str:
        """How a list of tables may be written."""
        heading = ".".join(each for each in (*self.place, key) if isinstance(each, str))
        return f"at least one table: [[{heading}]], or {key} = [{{ ... }}]"

    def tables(self, key: str, *, required: bool = True) -> list["Table"]:
        """A list of tables; required means at least one."""
        accepted = self.listing(key)
        value = self._get(key, accepted, required=required)
        if value is None:
            return []
        if not isinstance(value, list) or not value or not all(isinstance(entry, dict) for entry in value):
            return self._wrong(key, value, accepted, [])
        return [Table(entry, self.notebook, (*self.place, key, number)) for number, entry in enumerate(value)]

    def done(self) -> None:
        """Every key that nobody asked for is a mistake."""
        for key in self._data:
            if key not in self._asked:
                self.note(
                    str(key), f'the unknown key "{key}"', *suggestion(str(key), sorted(self._asked | self._offered))
                )

    def _get(self, key: str, accepted: str, *, required: bool = True) -> object:
        self._asked.add(key)
        if required and key not in self._data:
            self.note(key, "nothing", accepted, Wrong.MISSING)
        return self._data.get(key)

    def _wrong(self, key: str, value: object, accepted: str, fallback: Fallback, sort: Wrong = Wrong.OTHER) -> Fallback:
        if key in self._data:
            self.note(key, _shown(value), accepted, sort)
        return fallback


def _one_end(bound: Bound) -> Fraction:
    """The figure of a bound that was typed as a figure by itself, "6,35 cm"; 0 for any other bound."""
    return bound.high or Fraction(0) if bound.low is None and bound.high_closed else Fraction(0)


def _shown(value: object) -> str:
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        return f"the number {value}"[:_SHOWN]
    return f'"{value}"'[:_SHOWN] if isinstance(value, str) else f"{value} without quotes"


def _is_plain(text: str) -> bool:
    """No control signs and no broken halves of signs, so that a text can be written and hashed."""
    return len(text) <= _LONGEST and _NOT_PLAIN.search(text) is None


def once(tables: list[Table], key: str, values: list[str]) -> None:
    """Note every value that an earlier table of the list already has."""
    for number, (table, value) in enumerate(zip(tables, values, strict=True)):
        if value and value in values[:number]:
            table.note(key, f'"{value}" a second time', "each one once", Wrong.TWICE)
