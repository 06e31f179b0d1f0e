"""Lines that scales send. There is no one standard; what is read here is common practice.

* a bare number, or a number and its unit: ``412``, ``412.5 g``, ``0.4125kg``
* words in front, parted by commas: ``ST,GS,+  4.876kg`` (settled, gross), ``US,NT,+  4.871kg`` (not settled, net)
* a frame of control signs with a letter behind: STX sign number ``G`` ETX, with G gross, N net, U under, O over,
  E fault
* ``S S      412.5 g``, ``S D      411.8 g`` (not settled), ``S I``, ``S +`` (over), ``S -`` (under)
* a mark behind a number that has not settled: ``?``, ``M``
* no number at all: ``OL``, ``UL``, ``OVER``, ``UNDER``, ``H``, ``L``, ``----``, ``^^^^``, ``Err``
"""

import re
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from typing import Any

from shedgrade.domain.entry.errors import EntryError, NoReading
from shedgrade.domain.entry.numbers import WHOLE, has_letter_for_digit, no_number, odd_unit, split_unit, tidy

_LINE = re.compile(rf"(?P<head>[^0-9]*?)(?P<number>[+-]? ?(?:{WHOLE}(?:[.,][0-9]*)?|\.[0-9]+))(?P<tail>[^0-9]*)")
WORDS = re.compile(r"[A-Za-z]+|[^A-Za-z ,;:]+")
SETTLED = frozenset({"ST", "S", "STABLE"})


class Mark(Enum):
    """What a word of a line says of the reading, the gravest first: what was found, and what to do."""

    FAULT = ("The scale reports a fault", "look at its display, then weigh again")
    OVER = ("The scale is overloaded", "take the load off and weigh less at once")
    UNDER = ("The scale shows less than empty", "clear it, set it to zero and weigh again")
    BLANK = ("The scale shows no weight", "wait until it does, then send it again")
    MOVING = ("The scale had not settled", "wait until the weight stands still, then send it again")
    TARE = ("The scale sent its tare", "send the weight itself")
    UNCLEAR = ("The scale sent what is not understood", "look at how it is set, or type the weight")
    FINE = ("", "")


_MARKS = {
    **dict.fromkeys(["E", "ERR", "ERROR"], Mark.FAULT),
    **dict.fromkeys(["OL", "O", "OVER", "OVERLOAD", "H"], Mark.OVER),
    **dict.fromkeys(["UL", "U", "UNDER", "UNDERLOAD", "L"], Mark.UNDER),
    **dict.fromkeys(["US", "UNSTABLE", "M", "?"], Mark.MOVING),
    **dict.fromkeys(["TR", "T", "PT", "TARE"], Mark.TARE),
    **dict.fromkeys(["ST", "S", "STABLE", "GS", "G", "GROSS", "NT", "N", "NET", "*", "#"], Mark.FINE),
}
PAIRS = {("S", "D"): Mark.MOVING, ("S", "I"): Mark.FAULT, ("S", "+"): Mark.OVER, ("S", "-"): Mark.UNDER}
_FILLS = {
    "-": Mark.BLANK,
    "_": Mark.UNDER,
    "L": Mark.UNDER,
    "^": Mark.OVER,
    "H": Mark.OVER,
    "E": Mark.FAULT,
    "?": Mark.MOVING,
}
START_OF_FRAME = "\x02"


def reading(text: str, factors: Mapping[str, Fraction], accepted: str) -> Fraction:
    """The settled weight of a typed number or a scale's line, times the factor of its unit ("" is the bare number).

    NoReading when the scale says that this is no weight; EntryError for anything that is not understood.
    """
    line = tidy(text, accepted)
    framed = START_OF_FRAME in text
    typed = None if framed else split_unit(line)
    if typed is not None and typed[1] in factors:
        return typed[0] * factors[typed[1]]
    if not framed and has_letter_for_digit(line):  # else the O of 41o would be the sign of an overloaded scale
        raise EntryError(no_number(line), accepted)
    number, unit, words = _parts(line, factors, framed=framed)
    mark = gravest(words)
    if mark is None or (number is None and mark is Mark.FINE):
        raise EntryError(no_number(line) if typed is None else odd_unit(line, typed[1]), accepted)
    if number is None or mark is not Mark.FINE:
        raise NoReading(*mark.value)
    return number * factors[unit]


def _parts(line: str, factors: Mapping[str, Fraction], *, framed: bool) -> tuple[Fraction | None, str, list[str]]:
    """The number, its unit, and the words around them; in a frame the letter G is gross, not gram."""
    match = _LINE.fullmatch(line)
    if match is None:
        return None, "", WORDS.findall(line)
    before, behind = WORDS.findall(match["head"]), WORDS.findall(match["tail"])
    if match["head"] and not before:
        return None, "", [match["head"]]
    unit = ""
    if behind and behind[0].lower() in factors and not (framed and behind[0] == "G"):
        unit = behind.pop(0).lower()
    typed = split_unit(match["number"])
    return typed[0] if typed else None, unit, before + behind


def gravest(words: list[str]) -> Mark | None:
    """What the words say together; None when one of them is not known."""
    pair = PAIRS.get((words[0], words[1])) if len(words) > 1 else None
    marks = [pair, *map(mark_of, words[2:])] if pair else [mark_of(word) for word in words]
    known = [mark for mark in marks if mark is not None]
    return min(known, key=list(Mark).index, default=Mark.FINE) if len(known) == len(marks) else None


def mark_of(word: str) -> Mark | None:
    """What a word says; None when it is not known."""
    if len(word) == 1:  # a small letter is more likely a slip of the hand than a mark
        return _MARKS.get(word)
    return _MARKS.get(word.upper()) or (_FILLS.get(word[0]) if len(set(word)) == 1 else None)


def vocabulary() -> dict[str, Any]:
    """The words of a scale's line for whoever reads it elsewhere: what each says, what two together say, what a row of
    the same sign says, and what is said of it: found and accepted, the gravest first."""
    return {
        "words": {word: mark.name for word, mark in _MARKS.items()},
        "pairs": {" ".join(pair): mark.name for pair, mark in PAIRS.items()},
        "fills": {sign: mark.name for sign, mark in _FILLS.items()},
        "says": {mark.name: list(mark.value) for mark in Mark},
    }
