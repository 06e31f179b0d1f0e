"""Mistakes in a spec file, each with its place, what was found and what would be accepted."""

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import Enum, auto

from shedgrade.domain.spec.places import Place, places


class Wrong(Enum):
    """What sort of mistake it is, for whoever says it in words of their own."""

    NOT_A_FILE = auto()
    MISSING = auto()
    UNKNOWN = auto()
    SLIP = auto()
    """A word that is not known, near to one that is."""
    TWICE = auto()
    NOT_HERE = auto()
    """It may stand in a spec, but not beside what else stands here."""
    NEVER_REACHED = auto()
    NO_COMPARATOR = auto()
    """An amount that does not say whether it is the most or the least."""
    MISWRITTEN = auto()
    """An amount that a person understands, not written as a file writes it."""
    UNREADABLE = auto()
    """A text that is no amount, or one in a unit there is not."""
    OTHER_UNIT = auto()
    TOO_MUCH = auto()
    """More than the whole."""
    OTHER = auto()


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake. ``line`` counts from 1, 0 where there is no text but a tree; ``key`` names the place
    ("limit 2, rows 1, to"), empty for the whole; ``place`` is the same as the way from the top. ``offers`` are texts
    that may have been meant and would be accepted."""

    line: int
    key: str
    found: str
    accepted: str
    place: Place = ()
    offers: tuple[str, ...] = ()
    sort: Wrong = Wrong.OTHER

    def says(self) -> str:
        """One line for people: "Line 12, limit 2, take: found "totl"; accepted: did you mean "sum"?"."""
        where = [f"Line {self.line}"] if self.line else []
        where += [self.key] if self.key else []
        return f"{', '.join(where) or 'The whole'}: found {self.found}; accepted: {self.accepted}"


class SpecMistakes(ValueError):  # noqa: N818 - it holds all the mistakes of a file, not one error
    """A file that could not be read, with every mistake in it, in the order of the lines."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(sorted(mistakes, key=lambda mistake: mistake.line))
        super().__init__("\n".join(mistake.says() for mistake in self.mistakes))


class Notebook:
    """Collects the mistakes of one text, or of a tree without a text, while it is read on to its end."""

    def __init__(self, text: str | None = None) -> None:
        self._text = text
        self._lines: dict[Place, int] | None = None
        self.mistakes: list[Mistake] = []

    def note(
        self, place: Place, found: str, accepted: str, sort: Wrong = Wrong.OTHER, offers: tuple[str, ...] = ()
    ) -> None:
        """Write a mistake down."""
        self.mistakes.append(Mistake(self._line(place), _key(place), found, accepted, place, offers, sort))

    def check(self) -> None:
        """Raise SpecMistakes if there are any."""
        if self.mistakes:
            raise SpecMistakes(self.mistakes)

    def _line(self, place: Place) -> int:
        """The line of a place, or of the nearest one around it: a missing key has no line of its own."""
        if self._text is None:
            return 0
        if self._lines is None:
            try:
                self._lines = places(self._text)
            except RecursionError:
                self._lines = {}
        while place and place not in self._lines:
            place = place[:-1]
        return self._lines.get(place, 1)


def parsed(text: str) -> dict[str, object]:
    """The text as TOML; SpecMistakes when it is not TOML at all."""
    try:
        return tomllib.loads(text)
    except RecursionError:
        found, line = "brackets nested too deep", 1
    except ValueError as error:  # TOMLDecodeError, and whole numbers too long to read
        found, line = _slip(error, text.rstrip().split("\n"))
    raise SpecMistakes([Mistake(line, "", found, _NOT_A_FILE, sort=Wrong.NOT_A_FILE)])


_NOT_A_FILE = "a TOML file: key = value lines under [headings], texts in quotes, each key once in its table"
_LONGEST_WORD = 80  # looking for near misses of a longer one takes too long

_TOO_SHORT = 2  # "II" is no slip for "I"


def suggestion(word: str, known: Iterable[str]) -> tuple[str, Wrong]:
    """What would be accepted instead of a word, the near miss first, then all there is; and whether there is one."""
    choices = list(known)
    near = get_close_matches(word[:_LONGEST_WORD], choices, n=1) if len(word) > _TOO_SHORT else []
    listed = ", ".join(f'"{choice}"' for choice in choices) or "nothing: there is none"
    if near:
        return f'did you mean "{near[0]}"? one of {listed}', Wrong.SLIP
    return f"one of {listed}", Wrong.UNKNOWN


def _key(place: Place) -> str:
    words: list[str] = []
    for step in place:
        if isinstance(step, int):
            words[-1] += f" {step + 1}"
        else:
            words.append(step)
    return ", ".join(words)


def _slip(error: ValueError, lines: list[str]) -> tuple[str, int]:
    """What was found, with the line of text it stands in, from "Invalid value (at line 3, column 5)"."""
    said = str(error)
    place = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", said)
    if place is None:
        return said, 1
    line = min(int(place[1] or len(lines)), len(lines))
    piece = lines[line - 1].strip()[:_LONGEST_WORD]
    quoted = f'"{piece}": ' if piece else ""
    return f"{quoted}{said[: place.start()]}", line
