"""A line as a scale sends it by itself, read forgivingly: a weight in tenths of a gram, or why there is none.

Nobody stands beside it to be asked, so what can be read two ways is no reading: two numbers with a unit each, "12 pcs",
"1 460" (1460, or 460 with a number in front). What stands around the one number that has a unit of weight is passed
over: a number of the scale, a day and time, a word such as "Weight:". Marks are those of :mod:`scale`: common practice
of the trade, no source.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain.entry.errors import EntryError
from shedgrade.domain.entry.numbers import split_unit, tidy
from shedgrade.domain.entry.scale import SETTLED, START_OF_FRAME, WORDS, Mark, gravest, mark_of
from shedgrade.domain.entry.weight import GRAMS
from shedgrade.domain.units import DG_PER_G, round_half_up

LONGEST = 256
"""More bytes than any line of a scale has."""

# Seven data bits with a parity bit, read as eight, have the eighth bit set here and there.
_SEVEN_BITS = bytes(code & 0x7F for code in range(256))
_ENDS = re.compile(rb"[\r\n\x03\x04]+")
_NUMBER = re.compile(r"(?P<number>[+-]? ?(?:[0-9]+(?:[.,][0-9]*)?|\.[0-9]+))(?:[ ,;]*(?P<unit>[A-Za-z]+))?")
_TWO_WAYS = re.compile(r"[0-9][.,][0-9]*[.,][0-9]|(?<![0-9:/.,-])[1-9][0-9]{0,2} [0-9]{3}(?![0-9])")
_POUNDS_AND_OUNCES = re.compile(r"(?P<lb>[0-9]+) ?lbs? ?(?P<oz>[0-9]+(?:[.,][0-9]*)?) ?oz", re.IGNORECASE)
_AROUND = frozenset("=()[]<>")
_OF_A_PAIR = frozenset("+-DI")
_OTHER_FIGURES = frozenset({"MAX", "MIN", "CAP", "CAPACITY", "TOTAL", "SUM", "MEAN", "AVG", "T", "TARA", "TW"})


@dataclass(frozen=True, slots=True)
class ScaleLine:
    """What a line says: the weight in tenths of a gram, None for no reading, and then ``mark`` says why.
    ``says_settled`` is True where the line itself says that the weight stands still."""

    weight_dg: int | None
    mark: Mark
    says_settled: bool = False


def split(received: bytes) -> tuple[list[bytes], bytes]:
    """Whole lines, empty ones left out, and what has begun behind them."""
    *whole, begun = _ENDS.split(received.translate(_SEVEN_BITS))
    return [line for line in whole if line.strip()], begun[-LONGEST:]


def scale_line(sent: bytes, bare_unit: str = "g") -> ScaleLine:
    """Read one line; any bytes give a weight or a reason. ``bare_unit``, of :data:`weight.GRAMS`, is the unit of a
    number without one. Rounded half up to the tenth of a gram."""
    text = sent.translate(_SEVEN_BITS).decode("ascii")
    try:
        line = tidy(text, "a scale's line is accepted")
    except EntryError:
        return ScaleLine(None, Mark.UNCLEAR)
    grams, words = _weighed(line, bare_unit, framed=START_OF_FRAME in text)
    mark = gravest(words)
    if mark is None or (mark is Mark.FINE and grams is None):
        return ScaleLine(None, Mark.UNCLEAR)
    if grams is None or mark is not Mark.FINE:
        return ScaleLine(None, mark)
    settled = any(word.upper() in SETTLED for word in words)
    return ScaleLine(round_half_up(grams * DG_PER_G), Mark.FINE, settled)


def _weighed(line: str, bare_unit: str, *, framed: bool) -> tuple[Fraction | None, list[str]]:
    """The grams, None where there is no one weight, and the words that bear on it."""
    both = _POUNDS_AND_OUNCES.search(line)
    rest = _without(line, both) if both else line
    numbers = list(_NUMBER.finditer(rest))
    with_unit = [each for each in numbers if _is_unit(each["unit"], framed=framed)]
    if _TWO_WAYS.search(rest) or len(with_unit) + bool(both) > 1:
        return None, _known(_words(rest))
    if both:
        return _grams(both["lb"], "lb") + _grams(both["oz"], "oz"), _known(_words(rest))
    if with_unit:
        (found,) = with_unit
        return _grams(found["number"], found["unit"]), _known(_words(_without(line, found)))
    return _bare(numbers, _words(line), bare_unit)


def _bare(numbers: list[re.Match[str]], words: list[str], bare_unit: str) -> tuple[Fraction | None, list[str]]:
    """A number without a unit behind it, or none at all; any word that is not known speaks against it."""
    units = [word for word in words if len(word) > 1 and word.lower() in GRAMS]
    words = [word for word in words if word not in units]
    if not numbers:
        signs = {"+", "-", "g"} if words[:1] != ["S"] else set()
        return None, [word for word in words if word not in signs]
    if len(numbers) > 1 or len(units) > 1:
        return None, words
    return _grams(numbers[0]["number"], units[0] if units else bare_unit), words


def _is_unit(word: str | None, *, framed: bool) -> bool:
    """In a frame the letter G is gross, not gram."""
    return word is not None and word.lower() in GRAMS and not (framed and word == "G")


def _grams(number: str, unit: str) -> Fraction:
    read = split_unit(number)
    assert read is not None  # what _NUMBER finds is one
    return read[0] * GRAMS[unit.lower()]


def _without(line: str, found: re.Match[str]) -> str:
    return f"{line[: found.start()]} {line[found.end() :]}"


def _words(line: str) -> list[str]:
    """What stands around the numbers, without signs that say nothing."""
    bare = _NUMBER.sub(lambda number: f" {number['unit'] or ''} ", line)
    return [word for word in WORDS.findall(bare) if not set(word) <= _AROUND]


def _known(words: Iterable[str]) -> list[str]:
    """Those that are known, and those that say the figure is no weight on the scale."""
    return [word for word in words if mark_of(word) or word in _OF_A_PAIR or word.upper() in _OTHER_FIGURES]
