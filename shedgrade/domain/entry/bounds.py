"""Bounds as people write them: "up to 4 cm²", "351-500 g", "2,5 % or less", "none".

What is read is the bound that a spec file writes with its comparators. Where a text can mean two things, nothing is
guessed: it is refused, and each of its meanings is offered.
"""

import re
import unicodedata
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from shedgrade.domain.bound import ANY, NIL, Bound, Unit, written_figure
from shedgrade.domain.entry.bound_words import ABOUT, DASHES, NONE, SIGNS, SIGNS_BEHIND, UNITS
from shedgrade.domain.entry.bound_words import ANY as ANY_WORDS
from shedgrade.domain.entry.errors import EntryError, shown


class Typed(str):
    """A text that a person typed, beside those that a spec file holds."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a bound is of. ``units`` it may be written in, its own first. ``at_most``: a figure by itself means at most
    so much, as it does of faults. ``counted`` is what a number without a unit must say it counts, where a share could
    be meant as well; "" where a number needs no word."""

    units: Collection[Unit]
    at_most: bool = False
    counted: str = ""

    @property
    def unit(self) -> Unit:
        """The unit meant where none is written."""
        return next(iter(self.units))


class BoundError(EntryError):
    """A text that is no bound, or one of several: ``bounds`` are those it may mean, ``offers`` the same as forms say
    them."""

    def __init__(self, found: str, accepted: str, wanted: Wanted, bounds: tuple[Bound, ...] = ()) -> None:
        self.bounds = bounds
        self.offers = tuple(said(bound, wanted) for bound in bounds)
        super().__init__(found, accepted, self.offers[0] if len(bounds) == 1 else "")


_LONGEST = 200
_HALVES = re.compile(r"(?<=\d)(?=[¼½¾⅐-⅞])")


def _either(words: Collection[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


_FIGURE = r"\d[\d.,]*(?: \d{3})*(?:[.,]\d+)?(?: ?\d* ?/ ?\d+)?"
_END = re.compile(
    rf"(?:(?P<about>{_either(ABOUT)}) ?)?(?:(?P<sign>{_either(SIGNS)}) ?)?(?:(?P<or_about>{_either(ABOUT)}) ?)?"
    rf"(?P<figure>{_FIGURE}) ?"
    rf"(?P<unit>circles? of (?P<circle>{_FIGURE}) ?mm|[^\d\s<>≤≥=+-][^\d<>≤≥=+]*?(?: ?\^? ?2)?)??"
    rf"(?: ?(?P<behind>{_either(SIGNS_BEHIND)}))?",
    re.ASCII,
)
_JOIN = re.compile(r" ?(?P<word>\band\b|\bbut\b|\bto\b|\buntil\b|\bup to\b|-|,|\.{2,}|…) ?", re.ASCII)
_THOUSANDS = re.compile(r"\d{1,2}(?: \d{3})+(?:[.,]\d+)?", re.ASCII)
# Thousands, and with one comma or point decimals as well. A point parts decimals where forms say figures themselves,
# which they never do with a nought at the end.
_GROUPED = re.compile(r"[1-9]\d{0,2}(?:(?:,\d{3})+|\.\d\d0)", re.ASCII)
_WRITTEN = re.compile(r"\d{1,9}(?:[.,]\d{1,6})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class _End:
    """One end as written. ``figures`` are what its figure can mean: one, or two where a comma parts thousands or
    decimals. ``between`` needs another end; ``word`` is the unit as written, of which one is ``times`` one ``unit``."""

    sign: str
    between: bool
    word: str
    figures: tuple[Fraction, ...]
    unit: Unit | None
    times: Fraction
    circle: str
    about: bool


def read_bound(text: str, wanted: Wanted) -> Bound:
    """The bound a person means; BoundError says what would be accepted and offers what may be meant."""
    plain = _plain(text)
    if len(plain) > _LONGEST:
        raise BoundError(f"{len(plain)} signs", _accepted(wanted), wanted)
    if plain in NONE:
        return NIL
    if plain in ANY_WORDS:
        return ANY
    if plain in {"-", "no"}:
        raise BoundError(shown(text), "“none” for none at all, “any” for no limit", wanted, (NIL, ANY))
    ends = _ends(plain)
    if not ends:
        raise BoundError(shown(text), _accepted(wanted), wanted)
    strange = next((end for end in ends if end.word and end.unit not in wanted.units), None)
    if strange is not None:
        raise BoundError(f"{shown(strange.word)} as {_UNIT_OF.get(wanted.unit, 'a unit')}", _accepted(wanted), wanted)
    meant = list(dict.fromkeys(_meanings(ends, wanted)))
    if len(meant) == 1 and not any(end.about for end in ends):
        return meant[0]
    if not meant:
        raise _nothing(text, ends, wanted)
    accepted = " or ".join(f"“{said(bound, wanted)}”" for bound in meant)
    raise BoundError(shown(text), accepted, wanted, tuple(meant))


def said(bound: Bound, wanted: Wanted | None = None) -> str:
    """A bound as forms say it, exactly: "at most 4 cm²", "from 351 g to 500 g". ``read_bound`` reads it back."""
    if bound == NIL:
        return "none"
    if bound.is_any:
        return "any"
    word = wanted.counted if wanted is not None and bound.unit is Unit.NUMBER else ""

    def end(value: Fraction) -> str:
        one = Bound(high=value, unit=bound.unit, circle_dmm=bound.circle_dmm).text()
        figure = one.removeprefix("<= ").replace("cm2", "cm²") if one != "nil" else "0"
        return f"{figure} {word}".rstrip()

    if bound.low is not None and bound.high is not None and bound.low_closed and bound.high_closed:
        return f"from {end(bound.low)} to {end(bound.high)}"
    low = [] if bound.low is None else [f"{'at least' if bound.low_closed else 'over'} {end(bound.low)}"]
    high = [] if bound.high is None else [f"{'at most' if bound.high_closed else 'under'} {end(bound.high)}"]
    return " and ".join(low + high)


def said_text(text: str, counted: str = "") -> str:
    """A bound of a spec file as forms say it; the text itself where it is none."""
    try:
        return said(Bound.parse(text), Wanted((Unit.NUMBER,), counted=counted))
    except ValueError:
        return text


def _plain(text: str) -> str:
    """Small letters, one kind of dash and of space, figures that stand apart from the fractions behind them."""
    apart = _HALVES.sub(" ", text.replace("º", "°").translate(DASHES))
    words = unicodedata.normalize("NFKC", apart).replace("\N{FRACTION SLASH}", "/").casefold()
    return " ".join(words.translate(DASHES).strip("\"'“”„’ .;").split())


def _ends(plain: str) -> tuple[_End, ...]:
    """The one or two ends of a text, each with its sign; none where it cannot be read."""
    single = _end(plain)
    if single is not None and not single.between:
        return (single,)
    for join in _JOIN.finditer(plain):
        low, high = _end(plain[: join.start()]), _end(plain[join.end() :])
        if low is None or high is None:
            continue
        pair = _signed(low, high, join["word"])
        if pair is not None:
            return pair
    return ()


def _signed(low: _End, high: _End, word: str) -> tuple[_End, _End] | None:
    """Two ends with the signs that the words between them give; None where they make no range."""
    if word in {"and", "but", ","}:
        if not low.sign or (not high.sign and not low.between):
            return None
    elif not low.sign and not high.sign.startswith(">"):
        low = replace(low, sign=">=")
    high = high if high.sign else replace(high, sign="<=")
    if not low.sign or low.sign[0] == high.sign[0]:
        return None
    if not low.word:
        low = replace(low, unit=high.unit, times=high.times, word=high.word)
    elif not high.word:
        high = replace(high, unit=low.unit, times=low.times, word=low.word)
    return low, high


def _end(text: str) -> _End | None:
    found = _END.fullmatch(text.strip())
    if found is None or (found["sign"] and found["behind"]):
        return None
    try:
        figures = tuple(_figures(found["figure"]))
        circle = "" if found["circle"] is None else written_figure(next(_figures(found["circle"])))
    except (ValueError, ZeroDivisionError):
        return None
    sign = SIGNS.get(found["sign"] or "") or SIGNS_BEHIND.get(found["behind"] or "", "")
    word = (found["unit"] or "").strip()
    unit, times = (Unit.CIRCLES, Fraction(1)) if circle else _unit(word)
    about = bool(found["about"] or found["or_about"])
    return _End(sign, found["sign"] == "between", word, figures, unit, times, circle, about)


def _unit(word: str) -> tuple[Unit | None, Fraction]:
    for pattern, unit, times in UNITS:
        if re.fullmatch(pattern, word.rstrip(".")):
            return unit, times
    return None, Fraction(1)


def _figures(text: str) -> Iterator[Fraction]:
    """What a figure can mean; ValueError for what is none."""
    whole, slash, bottom = text.partition("/")
    if slash:
        *before, top = whole.split()
        if len(before) > 1 or (before and int(top) >= int(bottom)):
            raise ValueError(text)
        yield Fraction(int(top), int(bottom)) + sum(int(each) for each in before)
        return
    if " " in text and not _THOUSANDS.fullmatch(text):
        raise ValueError(text)
    text = text.replace(" ", "")
    if _GROUPED.fullmatch(text):
        yield Fraction(text.replace(",", "").replace(".", ""))
        if text.count(",") > 1:
            return
    if not _WRITTEN.fullmatch(text):
        raise ValueError(text)
    yield Fraction(text.replace(",", "."))


def _meanings(ends: tuple[_End, ...], wanted: Wanted) -> Iterator[Bound]:
    """Every bound that the ends can mean: by their signs, units and figures."""
    signs = [[end.sign] if end.sign else ["<="] if _is_most(end, wanted) else ["<=", ">="] for end in ends]
    for number in range(max(len(end.figures) for end in ends)):
        figures = [end.figures[min(number, len(end.figures) - 1)] for end in ends]
        for unit, times in _units(ends, figures, wanted):
            for sign in signs[0]:
                chosen = [sign, *(each[0] for each in signs[1:])]
                texts = [
                    f"{mark} {_written(figure * (end.times if end.unit else times), end, unit)}"
                    for mark, figure, end in zip(chosen, figures, ends, strict=True)
                ]
                yield from _parsed(" and ".join(texts), wanted)


def _is_most(end: _End, wanted: Wanted) -> bool:
    """No fruit can have less than nothing, so that a nought by itself means at most."""
    return wanted.at_most or not any(end.figures)


def _units(ends: tuple[_End, ...], figures: list[Fraction], wanted: Wanted) -> list[tuple[Unit, Fraction]]:
    """The units that may be meant where none is written, each with what turns the figure into it. A share without a
    unit is a part of one where it is written as a fraction, and per cent where it is more than the whole. Only whole
    numbers of things are counted."""
    if all(end.unit is not None for end in ends):
        return [(wanted.unit, Fraction(1))]
    if wanted.counted and any(figures) and all(figure.denominator == 1 for figure in figures):
        return [(Unit.PERCENT, Fraction(1)), (Unit.NUMBER, Fraction(1))]
    if (wanted.unit is not Unit.PERCENT and not wanted.counted) or not any(figures):
        return [(wanted.unit, Fraction(1))]
    if any(figure > 1 for figure in figures):
        return [(Unit.PERCENT, Fraction(1))]
    if all(written_figure(figure).find("/") > 0 for figure in figures if figure):
        return [(Unit.NUMBER, Fraction(1))]
    return [(Unit.PERCENT, Fraction(1)), (Unit.PERCENT, Fraction(100))]


def _written(figure: Fraction, end: _End, unit: Unit) -> str:
    if end.circle:
        return f"{written_figure(figure)} circles of {end.circle} mm"
    return f"{written_figure(figure)} {unit if end.unit is None else end.unit}".rstrip()


def _parsed(text: str, wanted: Wanted) -> Iterator[Bound]:
    try:
        bound = Bound.parse(text)
    except ValueError:
        return
    if bound.unit not in wanted.units:
        return
    share = Unit.PERCENT in {bound.unit, wanted.unit}
    if not share or all(end is None or end <= 1 for end in (bound.low, bound.high)):
        yield bound


def _nothing(text: str, ends: tuple[_End, ...], wanted: Wanted) -> BoundError:
    """Ends that can be read and make no bound: the wrong way round, or more than the whole."""
    if len(ends) > 1:
        turned = (replace(ends[1], sign=ends[0].sign), replace(ends[0], sign=ends[1].sign))
        meant = tuple(dict.fromkeys(_meanings(turned, wanted)))
        return BoundError(shown(text), "the smaller figure first, both in the same unit", wanted, meant)
    share = "a share of at most 100 %" if Unit.PERCENT in wanted.units else "at least something"
    return BoundError(shown(text), f"{share}; {_accepted(wanted)}", wanted)


# A length tells nothing of an area, nor the other way round: no figure of the one is offered for the other.
_UNIT_OF = {Unit.CM2: "the unit of an area", Unit.MM: "the unit of a length"}
_EXAMPLES = {
    Unit.GRAM: ("at least 100 g", "from 351 g to 500 g"),
    Unit.CM2: ("at most 4 cm²", "under 4 cm²"),
    Unit.PERCENT: ("at most 10 %", "under 10 %"),
    Unit.MM: ("at most 10 mm", "from 5 mm to 10 mm"),
    Unit.BRIX: ("at least 6.2 Brix", "over 6.2 Brix"),
    Unit.CIRCLES: ("at most 2 circles of 6 mm", "none"),
    Unit.NUMBER: ("at least 3", "from 3 to 5"),
}


def _accepted(wanted: Wanted) -> str:
    """What would be accepted, by examples in the row's own unit."""
    examples = ["at most 10 %", f"at most 1 {wanted.counted}"] if wanted.counted else list(_EXAMPLES[wanted.unit])
    if wanted.at_most:
        examples = [each.replace("at least", "at most") for each in examples]
    return f"an amount such as “{'” or “'.join(examples)}”; “none” for none at all, “any” for no limit"
