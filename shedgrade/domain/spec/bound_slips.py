"""What is wrong with a text that should be a bound, and what would be accepted in its place."""

import re
from collections.abc import Collection, Iterator

from shedgrade.domain.bound import Bound, Unit

_EXAMPLES = {
    Unit.GRAM: ">= 100 g",
    Unit.CM2: "<= 4 cm2",
    Unit.PERCENT: "<= 10 %",
    Unit.MM: "<= 10 mm",
    Unit.BRIX: ">= 6.2 Brix",
    Unit.CIRCLES: "<= 2 circles of 6 mm",
    Unit.NUMBER: ">= 3",
}
_NAMED = {Unit.NUMBER: "a plain number", Unit.CIRCLES: "circles"}
_SAID = {
    "<=": ("≤", "=<", "at most", "up to", "not exceeding", "no more than", "not more than"),
    ">=": ("≥", "=>", "at least", "no less than", "not less than"),
    "<": ("less than", "under", "below"),
    ">": ("more than", "over", "above"),
}
_COMPARATORS = {word: sign for sign, words in _SAID.items() for word in words}
_SPELT = {
    Unit.GRAM: ("gram", "grams", "gramme", "grammes", "gr"),
    Unit.CM2: ("cm²", "cm^2", "sq cm", "square centimetre", "square centimetres", "square cm"),
    Unit.PERCENT: ("percent", "per cent", "pct"),
    Unit.MM: ("millimetre", "millimetres", "millimeter", "millimeters"),
    Unit.BRIX: ("°brix", "° brix", "degree brix", "degrees brix"),
}
_UNITS = {word: unit for unit, words in _SPELT.items() for word in (unit.lower(), *words)}
_SIGN = "|".join(["<=", ">=", *_COMPARATORS, "<", ">"])
_PART = re.compile(rf"(?P<sign>{_SIGN})?\s*(?P<figure>[\d.,/\s]*?)\s*(?P<unit>[^\d.,/\s].*)?", re.ASCII)
_THOUSANDS = re.compile(r"\d{1,3}(,\d{3})+")
_LONGEST = 200


def figures_in(units: Collection[Unit]) -> str:
    """The bounds that fit a measure with these units, its own first, each unit with an example."""
    ordered = sorted(units, key=lambda unit: unit is Unit.NUMBER)
    named = " or ".join(_NAMED.get(unit, f'"{unit}"') for unit in ordered)
    share = {Unit.NUMBER: ">= 1/3"} if is_share(units) else {}
    examples = " or ".join(f'"{(_EXAMPLES | share)[unit]}"' for unit in ordered)
    return f'a comparator and a figure in {named}, such as {examples}; or "nil" or "any"'


def is_share(units: Collection[Unit]) -> bool:
    """Whether a measure with these units, its own first, is a share of one."""
    return next(iter(units), None) is Unit.PERCENT


def instead_of(text: str, units: Collection[Unit]) -> str:
    """What would be accepted instead of a text that cannot be read: the same without its slips, what these are, and
    the bounds that fit."""
    if len(text) > _LONGEST:
        return figures_in(units)
    parts = [_PART.fullmatch(part.strip()) for part in re.split(r"\s+and\s+", text)]
    found = [part for part in parts if part is not None]
    slips = dict.fromkeys(slip for part in found for slip in _slips(part))
    mended = " and ".join(_mended(part) for part in found)
    return _meant(mended, units) + "; ".join([*slips, figures_in(units)])


def too_much(bound: Bound) -> str:
    """What would be accepted instead of more than the whole: the figure in per cent, where that was meant."""
    ends = [end / 100 if end is not None else None for end in (bound.low, bound.high)]
    percent = Bound(ends[0], ends[1], bound.low_closed, bound.high_closed, Unit.PERCENT)
    meant = bound.unit is Unit.NUMBER and not exceeds_whole(percent)
    asked = f'did you mean "{percent.text()}"? ' if meant else ""
    return f"{asked}a share of at most 100 %"


def exceeds_whole(bound: Bound) -> bool:
    """Whether an end of a share lies over the whole."""
    return any(end is not None and end > 1 for end in (bound.low, bound.high))


def _meant(mended: str, units: Collection[Unit]) -> str:
    try:
        fits = Bound.parse(mended).unit in units
    except ValueError:
        return ""
    return f'did you mean "{mended}"? ' if fits else ""


def _mended(part: re.Match[str]) -> str:
    sign, figure, unit = (part[name] or "" for name in ("sign", "figure", "unit"))
    if not _THOUSANDS.fullmatch(figure):
        figure = figure.replace(",", ".")
    return f"{_COMPARATORS.get(sign, sign)} {figure} {_UNITS.get(unit.lower(), unit)}".strip()


def _slips(part: re.Match[str]) -> Iterator[str]:
    sign, figure, unit = (part[name] or "" for name in ("sign", "figure", "unit"))
    if not sign:
        yield 'a comparator first: "<=" for at most, ">=" for at least, "<" for under, ">" for over'
    elif sign in _COMPARATORS:
        yield f'"{_COMPARATORS[sign]}" instead of "{sign}"'
    if not figure:
        yield "a figure in digits"
    if "," in figure:
        yield "a point before decimals, and no sign between thousands"
    known = _UNITS.get(unit.lower())
    if known is not None and unit != known:
        yield f'"{known}" instead of "{unit}"'
    elif figure and unit.startswith(("-", "–", "to ")):
        yield 'both ends with their comparators, such as ">= 1 and <= 2"'
    elif unit and known is None and not unit.startswith("circle"):
        yield f'no unit "{unit[:40]}"'
