"""A table of a spec file that hands out each key as the kind of value wanted, and notes a mistake where it is not.

After a mistake it hands out something harmless and reading goes on, so that one look finds all mistakes.
"""

import re
import unicodedata
from collections.abc import Collection
from enum import StrEnum
from typing import TypeVar

from shedgrade.domain.bound import ACCEPTED, ANY, Bound, Unit
from shedgrade.domain.spec.mistakes import Notebook, suggestion
from shedgrade.domain.spec.places import Place

Choice = TypeVar("Choice", bound=StrEnum)
Fallback = TypeVar("Fallback")

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_LONGEST = 2000
_HUGE = 10**6


class Table:
    """One table being read. ``place`` is the way to it from the top of the file."""

    def __init__(self, data: dict[str, object], notebook: Notebook, place: Place = ()) -> None:
        self._data = data
        self._asked: set[str] = set()
        self.notebook = notebook
        self.place = place

    def has(self, key: str) -> bool:
        """Whether the key is written."""
        return key in self._data

    def note(self, key: str, found: str, accepted: str) -> None:
        """Note a mistake at one of this table's keys."""
        self.notebook.note((*self.place, key), found, accepted)

    def refuse(self, key: str, accepted: str) -> None:
        """Note a key that may not stand here."""
        self._asked.add(key)
        self.note(key, key, accepted)

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

    def flag(self, key: str) -> bool:
        """A yes or no."""
        value = self._get(key, "true or false")
        return value if isinstance(value, bool) else self._wrong(key, value, "true or false", fallback=False)

    def number(self, key: str) -> int:
        """A whole number, 0 or more."""
        value = self._get(key, "a whole number")
        if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= _HUGE:
            return value
        return self._wrong(key, value, "a whole number, 0 or more", 0)

    def choice(self, key: str, among: type[Choice], default: Choice | None = None) -> Choice:
        """One of the words of a list; may be left out only when there is a default."""
        words = [member.value for member in among]
        value = self._get(key, suggestion("", words), required=default is None)
        if value is None and default is not None:
            return default
        if isinstance(value, str) and value in words:
            return among(value)
        return self._wrong(key, value, suggestion(str(value), words), next(iter(among)))

    def bound(self, key: str, units: Collection[Unit]) -> Bound:
        """A bound written in one of the units; "nil" and "any" need none."""
        value = self._get(key, ACCEPTED)
        if not isinstance(value, str):
            return self._wrong(key, value, ACCEPTED, ANY)
        try:
            bound = Bound.parse(value)
        except ValueError as error:
            return self._wrong(key, value, str(error), ANY)
        if bound.is_any or value.strip() == "nil" or bound.unit in units:
            return bound
        named = " or ".join(f'"{unit}"' if unit else "a plain number" for unit in units)
        return self._wrong(key, value, f"a figure in {named}", ANY)

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
            return self._wrong(key, value, "each word once", ())
        return tuple(listed)

    def known(self, key: str, among: Collection[str], *, required: bool = True) -> tuple[str, ...]:
        """A text or a list of texts, each one of the words known."""
        words = self.words(key, required=required)
        for word in words:
            if word not in among:
                self.note(key, f'"{word}"', suggestion(word, among))
        return words

    def table(self, key: str) -> "Table":
        """A table inside this one."""
        value = self._get(key, f"a table [{key}]")
        if not isinstance(value, dict):
            value = self._wrong(key, value, f"a table [{key}]", {})
        return Table(value, self.notebook, (*self.place, key))

    def tables(self, key: str, *, required: bool = True) -> list["Table"]:
        """A list of tables; required means at least one."""
        accepted = f"at least one table: [[{key}]], or {key} = [{{ ... }}]"
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
                self.note(key, f'the unknown key "{key}"', suggestion(key, sorted(self._asked)))

    def _get(self, key: str, accepted: str, *, required: bool = True) -> object:
        self._asked.add(key)
        if required and key not in self._data:
            self.note(key, "nothing", accepted)
        return self._data.get(key)

    def _wrong(self, key: str, value: object, accepted: str, fallback: Fallback) -> Fallback:
        if key in self._data:
            self.note(key, _shown(value), accepted)
        return fallback


def _shown(value: object) -> str:
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    return f'"{value}"'[:200]


def _is_plain(text: str) -> bool:
    """No control signs and no broken halves of signs, so that a text can be written and hashed."""
    return len(text) <= _LONGEST and not any(unicodedata.category(sign) in ("Cc", "Cs") for sign in text)


def once(tables: list[Table], key: str, values: list[str]) -> None:
    """Note every value that an earlier table of the list already has."""
    for number, (table, value) in enumerate(zip(tables, values, strict=True)):
        if value and value in values[:number]:
            table.note(key, f'"{value}" a second time', "each one once")
