"""The size bands of a spec on a line of weights: where one, several or no size applies."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from shedgrade.domain.bound import Bound
from shedgrade.domain.spec.scale import Rounding, Scale
from shedgrade.domain.units import DG_PER_G, digits, say_weight, whole_grams
from shedgrade.web.ranges import percent
from shedgrade.web.weight_chart import Tick

_STEPS_DG = (500, 1000, 2000, 5000)
_MOST_TICKS = 9
_HALF_GRAM_DG = DG_PER_G // 2
_LEFT_HALF = 55.0


@dataclass(frozen=True, slots=True)
class BandBar:
    """One size: its bar, and its words beside it, right of the bar or left of it where there is no room."""

    x: float
    width: float
    word: str
    weights: str
    words_right: bool


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of weights that ``sizes`` sizes hold."""

    x: float
    width: float
    sizes: int


@dataclass(frozen=True, slots=True)
class SizeChart:
    """Bars one under the other, and the strip under them."""

    title: str
    description: str
    bars: tuple[BandBar, ...]
    pieces: tuple[Piece, ...]
    ticks: tuple[Tick, ...]
    overlaps: tuple[str, ...]
    gaps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Held:
    """The whole decigrams a size holds, both ends included; None is no end."""

    name: str
    weights: str
    least: int | None
    most: int | None


def size_chart(scale: Scale) -> SizeChart:
    """The drawing of a size table with at least one band."""
    held = _held(scale)
    low, high = _ends(held)
    cuts = _cuts(held, low, high)
    rounded = scale.rounding is Rounding.HALF_UP_TO_THE_GRAM
    overlaps = tuple(_words(start, end, names, rounded=rounded) for start, end, names in cuts if len(names) > 1)
    gaps = tuple(_words(start, end, names, rounded=rounded) for start, end, names in cuts if not names)
    place = _Line(low, high)
    return SizeChart(
        title=_title(overlaps, gaps),
        description=". ".join(f"{each.name}: {each.weights}" for each in held) + ".",
        bars=tuple(_bar(each, place) for each in held),
        pieces=tuple(Piece(place.at(start), place.wide(start, end), len(names)) for start, end, names in cuts),
        ticks=_ticks(place),
        overlaps=overlaps,
        gaps=gaps,
    )


@dataclass(frozen=True, slots=True)
class _Line:
    low: int
    high: int

    def at(self, weight_dg: int) -> float:
        return percent(Fraction(weight_dg - self.low, self.high - self.low))

    def wide(self, start: int, end: int) -> float:
        return percent(Fraction(end - start, self.high - self.low))


def _held(scale: Scale) -> list[_Held]:
    """The stored weights that each size holds."""
    found = [_Held(band.name, band.to.says(), *_stored(band.to, scale.rounding)) for band in scale.bands]
    return sorted(found, key=lambda each: (each.least or 0, each.most or 0))


def _stored(to: Bound, rounding: Rounding) -> tuple[int | None, int | None]:
    """The least and greatest decigram that the bound allows after the table's rounding: a table that rounds half up to
    the gram takes 800.5 g to 801 g, so that over 800 g begins there, and at most 800 g ends at 800.4 g."""
    least, most = to.whole()
    if rounding is Rounding.NONE:
        return least, most
    first = None if least is None else -(-least // DG_PER_G) * DG_PER_G - _HALF_GRAM_DG
    return first, None if most is None else most // DG_PER_G * DG_PER_G + _HALF_GRAM_DG - 1


def _ends(held: Sequence[_Held]) -> tuple[int, int]:
    """The line, with room beyond the last end for a band that has none."""
    edges = [edge for each in held for edge in (each.least, each.most) if edge is not None]
    room = max(500, (max(edges) - min(edges)) // 5)
    low = max(0, min(edges) - room) if any(each.least is None for each in held) else min(edges)
    return low, max(edges) + room if any(each.most is None for each in held) else max(edges) + 1


def _cuts(held: Sequence[_Held], low: int, high: int) -> list[tuple[int, int, tuple[str, ...]]]:
    """The line cut at every end, from - up to but not - and the sizes that hold each stretch."""
    starts = [low if each.least is None else each.least for each in held]
    ends = [high if each.most is None else each.most + 1 for each in held]
    edges = sorted({low, high, *starts, *ends})
    spans = list(zip(held, starts, ends, strict=True))
    return [
        (start, end, tuple(each.name for each, first, last in spans if first <= start and end <= last))
        for start, end in pairwise(edges)
    ]


def _bar(each: _Held, line: _Line) -> BandBar:
    start = line.low if each.least is None else each.least
    end = line.high if each.most is None else each.most + 1
    x, width = line.at(start), line.wide(start, end)
    return BandBar(x, width, each.name, each.weights, words_right=x + width / 2 < _LEFT_HALF)


def _words(start: int, end: int, names: Sequence[str], *, rounded: bool) -> str:
    """The stretch in the weights of the table: whole grams where it rounds to them."""
    first, last = (whole_grams(start), whole_grams(end - 1)) if rounded else (start, end - 1)
    weights = say_weight(first) if first == last else f"{say_weight(first)} to {say_weight(last)}"
    return f"{weights}: {' or '.join(names)}" if names else weights


def _title(overlaps: Sequence[str], gaps: Sequence[str]) -> str:
    if overlaps and gaps:
        return "Sizes overlap, and leave gaps"
    if overlaps:
        return "Sizes overlap: some weights are in two"
    return "Sizes leave gaps: some weights are in none" if gaps else "Sizes follow each other without gap or overlap"


def _ticks(line: _Line) -> tuple[Tick, ...]:
    step = next((each for each in _STEPS_DG if (line.high - line.low) // each <= _MOST_TICKS), _STEPS_DG[-1])
    first = -(-line.low // step) * step
    return tuple(
        Tick(line.at(weight), digits(Fraction(weight, DG_PER_G))) for weight in range(first, line.high + 1, step)
    )
