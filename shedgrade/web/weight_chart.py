"""The geometry of a spread of weights over the counts they pack as; positions in percent, words already said."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from shedgrade.domain.trays.counts import CountBand
from shedgrade.domain.units import DG_PER_G, digits, say_percent
from shedgrade.web.ranges import percent

_STEP_DG = 500
_ROOM_DG = 200
_BARS = 18
_MOST_TICKS = 8
_WIDE_ENOUGH_FOR_WORDS = 3.0


@dataclass(frozen=True, slots=True)
class WeightBar:
    """Fruit of a stretch of weights; ``band`` is the place of the count they pack as, None where none fits."""

    x: float
    width: float
    height: float
    words: str
    band: int | None


@dataclass(frozen=True, slots=True)
class Band:
    """The weights of one count."""

    x: float
    width: float
    word: str
    share: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A weight named on the axis."""

    x: float
    word: str


@dataclass(frozen=True, slots=True)
class WeightChart:
    """The spread of weights over the counts they pack as."""

    id: str
    title: str
    description: str
    base: str
    bars: tuple[WeightBar, ...]
    bands: tuple[Band, ...]
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Weights from ``low`` up to but not ``high`` in decigrams, and the count they pack as."""

    low: int
    high: int
    count: int | None


@dataclass(frozen=True, slots=True)
class _Axis:
    """The weights that fill the width, in decigrams: whole steps of 50 g, with room left and right of what was found,
    so that no fruit stands in a sliver between the edge of a count and the end of the axis."""

    low: int
    high: int

    @classmethod
    def around(cls, weights_dg: Sequence[int]) -> "_Axis":
        low, high = max(0, min(weights_dg) - _ROOM_DG), max(weights_dg) + _ROOM_DG
        return cls(low // _STEP_DG * _STEP_DG, -(-high // _STEP_DG) * _STEP_DG)

    @property
    def span(self) -> int:
        return self.high - self.low

    def at(self, weight_dg: int) -> float:
        return percent(Fraction(weight_dg - self.low, self.span))

    def place(self, stretch: _Stretch) -> tuple[float, float]:
        """Where it begins and how wide it is."""
        return self.at(stretch.low), percent(Fraction(stretch.high - stretch.low, self.span))


def weight_spread(
    chart_id: str,
    title: str,
    base: str,
    weights_dg: Sequence[int],
    counted: Sequence[CountBand],
    under: Mapping[int, str] | None = None,
) -> WeightChart:
    """A histogram whose bars never cross the edge of a count, big fruit first in ``counted``: they differ a little in
    width, and stand as high as the number of fruit in them, so that bars of as many fruit are equally high. Under each
    count stands its share of the fruit, or what ``under`` says of it."""
    axis = _Axis.around(weights_dg)
    stretches = _stretches(counted, axis)
    counts = [each for each in stretches if each.count is not None]
    bands = tuple(
        Band(
            *axis.place(each),
            f"{each.count}s",
            _share_in(weights_dg, each) if under is None else under.get(each.count or 0, ""),
        )
        for each in counts
    )
    return WeightChart(
        id=chart_id,
        title=title,
        description="".join(
            f"{band.word}: {band.share}{' of the fruit' if under is None else ''}. " for band in bands
        ).strip()
        or title,
        base=base,
        bars=_bars(weights_dg, stretches, axis),
        bands=bands,
        ticks=_ticks(axis),
    )


def _stretches(counted: Sequence[CountBand], axis: _Axis) -> list[_Stretch]:
    """The axis cut at the edges of the counts, light fruit first; what no count takes stands between."""
    cut: list[_Stretch] = []
    reached = axis.low
    for band in reversed(counted):
        end = axis.high if band.heaviest_dg is None else min(band.heaviest_dg + 1, axis.high)
        start = max(band.lightest_dg, axis.low)
        if start < end:
            cut += [_Stretch(reached, start, None)] * (reached < start) + [_Stretch(start, end, band.count)]
            reached = end
    return cut + [_Stretch(reached, axis.high, None)] * (reached < axis.high)


def _bars(weights: Sequence[int], stretches: Sequence[_Stretch], axis: _Axis) -> tuple[WeightBar, ...]:
    places = {each: place for place, each in enumerate(each for each in stretches if each.count is not None)}
    pieces = [(piece, places.get(each)) for each in stretches for piece in _split(each, axis)]
    counted = [(piece, band, _fruit_in(weights, piece)) for piece, band in pieces]
    tallest = max(fruit for _, _, fruit in counted)
    return tuple(_bar(axis, piece, band, fruit, tallest) for piece, band, fruit in counted if fruit)


def _split(stretch: _Stretch, axis: _Axis) -> list[_Stretch]:
    width = stretch.high - stretch.low
    pieces = max(1, round(width * _BARS / axis.span))
    edges = [stretch.low + width * place // pieces for place in range(pieces + 1)]
    return [_Stretch(start, end, stretch.count) for start, end in pairwise(edges)]


def _bar(axis: _Axis, piece: _Stretch, band: int | None, fruit: int, tallest: int) -> WeightBar:
    x, width = axis.place(piece)
    return WeightBar(
        x, width, percent(Fraction(fruit, tallest)), digits(fruit) if width >= _WIDE_ENOUGH_FOR_WORDS else "", band
    )


def _fruit_in(weights: Sequence[int], stretch: _Stretch) -> int:
    return sum(stretch.low <= weight < stretch.high for weight in weights)


def _share_in(weights: Sequence[int], stretch: _Stretch) -> str:
    return say_percent(Fraction(_fruit_in(weights, stretch), len(weights)))


def _ticks(axis: _Axis) -> tuple[Tick, ...]:
    step = _STEP_DG * max(1, -(-axis.span // (_MOST_TICKS * _STEP_DG)))
    weights = range(axis.low, axis.high + 1, step)
    return tuple(Tick(axis.at(weight), digits(Fraction(weight, DG_PER_G))) for weight in weights)
