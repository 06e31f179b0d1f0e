"""The size bands of a spec on a line of weights, diameters or counts: where one, several or no size applies."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from shedgrade.domain.bound import Bound, Unit, say
from shedgrade.domain.spec.scale import Rounding, Scale
from shedgrade.domain.units import DG_PER_G, digits, round_half_up
from shedgrade.web.ranges import percent
from shedgrade.web.weight_chart import Tick

_STEPS_DG = (500, 1000, 2000, 5000)
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
_MOST_TICKS = 9
_PER_STEP = DG_PER_G  # tenths of a gram or of a millimetre in a whole one
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
    """A stretch of figures that ``sizes`` sizes hold."""

    x: float
    width: float
    sizes: int


@dataclass(frozen=True, slots=True)
class SizeChart:
    """Bars one under the other, and the strip under them; ``unit`` is that of the line."""

    unit: str
    title: str
    description: str
    bars: tuple[BandBar, ...]
    pieces: tuple[Piece, ...]
    ticks: tuple[Tick, ...]
    overlaps: tuple[str, ...]
    gaps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Held:
    """The whole base units a size holds, both ends included; None is no end."""

    name: str
    weights: str
    least: int | None
    most: int | None


def size_chart(scale: Scale) -> SizeChart:
    """The drawing of a size table with at least one band."""
    held = _held(scale)
    low, high = _ends(held)
    cuts = _cuts(held, low, high)
    overlaps = tuple(_words(scale, *cut) for cut in cuts if len(cut[2]) > 1)
    gaps = tuple(_words(scale, *cut) for cut in cuts if not cut[2])
    place = _Line(low, high)
    return SizeChart(
        unit=scale.unit,
        title=_title(overlaps, gaps, "weights" if scale.unit is Unit.GRAM else "figures"),
        description=". ".join(f"{each.name}: {each.weights}" for each in held) + ".",
        bars=tuple(_bar(each, place) for each in held),
        pieces=tuple(Piece(place.at(start), place.wide(start, end), len(names)) for start, end, names in cuts),
        ticks=_ticks(place, scale.unit),
        overlaps=overlaps,
        gaps=gaps,
    )


@dataclass(frozen=True, slots=True)
class _Line:
    low: int
    high: int

    def at(self, figure: int) -> float:
        return percent(Fraction(figure - self.low, self.high - self.low))

    def wide(self, start: int, end: int) -> float:
        return percent(Fraction(end - start, self.high - self.low))


def _held(scale: Scale) -> list[_Held]:
    """The stored figures that each size holds."""
    found = [_Held(band.name, band.to.says(), *_stored(band.to, scale.rounding)) for band in scale.bands]
    return sorted(found, key=lambda each: (each.least or 0, each.most or 0))


def _stored(to: Bound, rounding: Rounding) -> tuple[int | None, int | None]:
    """The least and greatest figure that the bound allows after the table's rounding: a table that rounds half up to
    the gram takes 800.5 g to 801 g, so that over 800 g begins there, and at most 800 g ends at 800.4 g."""
    least, most = to.whole()
    if rounding in (Rounding.NONE, Rounding.HALF_UP_TO_THE_WHOLE):
        return least, most
    half = _PER_STEP // 2
    first = None if least is None else -(-least // _PER_STEP) * _PER_STEP - half
    return first, None if most is None else most // _PER_STEP * _PER_STEP + half - 1


def _ends(held: Sequence[_Held]) -> tuple[int, int]:
    """The line, with room beyond the last end for a band that has none."""
    edges = [edge for each in held for edge in (each.least, each.most) if edge is not None]
    room = max(1, (max(edges) - min(edges) or max(edges)) // 5)
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


def _words(scale: Scale, start: int, end: int, names: Sequence[str]) -> str:
    """The stretch in the figures of the table: whole grams where it rounds to them."""
    step = _PER_STEP if scale.rounding not in (Rounding.NONE, Rounding.HALF_UP_TO_THE_WHOLE) else 1
    first, last = (say(Fraction(round_half_up(Fraction(each, step)) * step), scale.unit) for each in (start, end - 1))
    figures = first if first == last else f"{first} to {last}"
    return f"{figures}: {' or '.join(names)}" if names else figures


def _title(overlaps: Sequence[str], gaps: Sequence[str], figures: str) -> str:
    if overlaps and gaps:
        return "Sizes overlap, and leave gaps"
    if overlaps:
        return f"Sizes overlap: some {figures} are in two"
    return f"Sizes leave gaps: some {figures} are in none" if gaps else "Sizes follow each other without gap or overlap"


def _ticks(line: _Line, unit: Unit) -> tuple[Tick, ...]:
    steps = _STEPS_DG if unit is Unit.GRAM else [int(each * unit.base) for each in _STEPS]
    step = next((each for each in steps if (line.high - line.low) // each <= _MOST_TICKS), steps[-1])
    first = -(-line.low // step) * step
    return tuple(
        Tick(line.at(figure), digits(Fraction(figure) / unit.base)) for figure in range(first, line.high + 1, step)
    )
