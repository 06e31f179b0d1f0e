"""On which line each key of a TOML text stands. Only asked when there is a mistake to point at.

The standard reader gives no line for a key that is valid TOML but wrong for us, so this scanner walks a text that
the reader has already accepted and notes where every key and every list entry begins.
"""

import re
import tomllib
from bisect import bisect_right

Place = tuple[str | int, ...]
"""The way to a value: ``("limit", 1, "rows", 0, "to")``, entries of lists counted from 0."""

_LONG_TEXT = r'"""(?:\\.|[^\\])*?""""{0,2}'
_LONG_LITERAL = r"'''.*?''''{0,2}"
_SHORT_TEXT = r'"(?:\\.|[^"\\\n])*"'
_SHORT_LITERAL = r"'[^'\n]*'"
_STRING = re.compile(f"{_LONG_TEXT}|{_LONG_LITERAL}|{_SHORT_TEXT}|{_SHORT_LITERAL}", re.DOTALL)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}#\n]+")
_BLANK = re.compile(r"(?:[\s,]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")


def places(text: str) -> dict[Place, int]:
    """Every key and list entry of a valid TOML text with its line, counted from 1."""
    scanner = _Scanner(text)
    scanner.document()
    return scanner.lines


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Place, int] = {}
        self.entries: dict[Place, int] = {}
        self.breaks = [found.start() for found in re.finditer("\n", text)]

    def document(self) -> None:
        table: Place = ()
        self._skip(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._skip(_BLANK)

    def _header(self) -> Place:
        """``[table]`` or ``[[list]]``; a name that is a list means its last entry."""
        start = self.at
        listed = self.text.startswith("[[", start)
        self.at += 2 if listed else 1
        *above, last = self._key()
        self.at += 2 if listed else 1
        place = (*self._latest(above), last)
        if listed:
            self._note(place, start)
            self.entries[place] = self.entries.get(place, -1) + 1
            place = (*place, self.entries[place])
        self._note(place, start)
        return place

    def _latest(self, names: list[str]) -> Place:
        place: Place = ()
        for name in names:
            place = (*place, name)
            if place in self.entries:
                place = (*place, self.entries[place])
        return place

    def _pair(self, table: Place) -> None:
        start = self.at
        place = (*table, *self._key())
        self._note(place, start)
        self.at += 1  # the equals sign
        self._skip(_SPACE)
        self._value(place)

    def _key(self) -> list[str]:
        names = []
        while True:
            self._skip(_SPACE)
            names.append(self._name())
            self._skip(_SPACE)
            if self.text[self.at] != ".":
                return names
            self.at += 1

    def _name(self) -> str:
        if self.text[self.at] in "\"'":
            return str(tomllib.loads(f"key = {self._take(_STRING)}")["key"])
        return self._take(_BARE_KEY)

    def _value(self, place: Place) -> None:
        opening = self.text[self.at]
        if opening == "[":
            self._list(place)
        elif opening == "{":
            self._inline(place)
        else:
            self._take(_STRING if opening in "\"'" else _BARE_VALUE)

    def _list(self, place: Place) -> None:
        self.at += 1
        self._skip(_BLANK)
        number = 0
        while self.text[self.at] != "]":
            entry = (*place, number)
            self._note(entry, self.at)
            self._value(entry)
            self._skip(_BLANK)
            number += 1
        self.at += 1

    def _inline(self, place: Place) -> None:
        self.at += 1
        self._skip(_BLANK)
        while self.text[self.at] != "}":
            self._pair(place)
            self._skip(_BLANK)
        self.at += 1

    def _note(self, place: Place, start: int) -> None:
        self.lines.setdefault(place, bisect_right(self.breaks, start) + 1)

    def _skip(self, pattern: re.Pattern[str]) -> None:
        found = pattern.match(self.text, self.at)
        self.at = found.end() if found else self.at

    def _take(self, pattern: re.Pattern[str]) -> str:
        found = pattern.match(self.text, self.at)
        if found is None:  # cannot be: the text was accepted by the standard reader
            raise ValueError(f"nothing to read at character {self.at}")
        self.at = found.end()
        return found[0]
