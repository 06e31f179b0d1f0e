"""The mix of classes over time in words, and as a chart of one class with its limits."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from shedgrade.domain.run.drift import BASE_PERIODS, FEWEST, Chart
from shedgrade.domain.units import digits, say_percent
from shedgrade.reports.run_mix import ClassMix
from shedgrade.web.clock import Clock

WIDTH: Final = 640
HEIGHT: Final = 200
_LEFT, _TOP, _FOOT = 70, 14, 30
_MOST_WORDS = 6
_TWO = 2
_HOURS = f"{BASE_PERIODS} half hours"


@dataclass(frozen=True, slots=True)
class Dot:
    """A half hour on the chart; ``word`` is when it began, "" where there is no room; ``outside`` its limits."""

    x: float
    y: float
    low: float
    high: float
    word: str
    outside: bool


@dataclass(frozen=True, slots=True)
class MixChart:
    """One class half hour by half hour, in the units of a drawing WIDTH by HEIGHT."""

    title: str
    description: str
    dots: tuple[Dot, ...]
    line: str
    band: str
    centre: float
    top_word: str
    foot: float
    left: float
    width: int
    height: int
    base_word: str


@dataclass(frozen=True, slots=True)
class MixView:
    """The sentences, the most pressing first, with the sign each is told by; and the chart, if there is one."""

    sentences: tuple[tuple[str, str], ...]
    chart: MixChart | None


def mix_view(mixes: tuple[ClassMix, ...], names: Mapping[str, str], clock: Clock) -> MixView:
    """How the mix goes, as the board says it."""
    if not mixes:
        return MixView((("open", "No tray packed yet."),), None)
    if len(mixes) == 1:
        return MixView((("good", f"Every tray so far is {_name(mixes[0], names)}."),), None)
    if len(mixes) == _TWO:  # of two, one is what the other is not: the worse one says it
        mixes = mixes[1:]
    drifting = [each for each in mixes if each.drift is not None]
    shown = drifting[0] if drifting else max(mixes, key=_counted)
    if shown.chart is None:
        more = BASE_PERIODS - len(shown.periods)
        halves = "1 more half hour" if more == 1 else f"{more} more half hours"
        return MixView((("open", f"Drift can be told after {halves} of packing."),), None)
    told = tuple(("watch", _drift_words(each, names, clock)) for each in drifting)
    calm = ("good", f"The mix of classes is as in the first {_HOURS}.")
    return MixView(told or (calm,), _chart(shown, shown.chart, names, clock))


def _counted(mix: ClassMix) -> int:
    return sum(each.found for each in mix.periods)


def _name(mix: ClassMix, names: Mapping[str, str]) -> str:
    return names.get(mix.class_id, mix.class_id)


def _drift_words(mix: ClassMix, names: Mapping[str, str], clock: Clock) -> str:
    assert mix.drift is not None
    assert mix.chart is not None
    way = "up" if mix.drift.up else "down"
    since = [each for each in mix.periods if each.began >= mix.drift.since]
    share = sum(each.found for each in since) / max(sum(each.counted for each in since), 1)
    return (
        f"{_name(mix, names)} {way} since {clock.local(mix.drift.since):%H:%M}: {_percent(share)} of the trays, "
        f"{_percent(mix.chart.centre)} before."
    )


def _percent(share: float) -> str:
    return say_percent(Fraction(share))


def _chart(mix: ClassMix, chart: Chart, names: Mapping[str, str], clock: Clock) -> MixChart:
    limits = [chart.limits(each.counted) for each in mix.periods]
    top = max(*(high for _, high in limits), *(each.share for each in mix.periods), 0.05)
    across = (WIDTH - _LEFT - 20) / max(len(mix.periods) - 1, 1)
    every = -(-len(mix.periods) // _MOST_WORDS)

    def y(share: float) -> float:
        return round(_TOP + (HEIGHT - _TOP - _FOOT) * (1 - share / top), 1)

    dots = tuple(
        Dot(
            x=round(_LEFT + place * across, 1),
            y=y(each.share),
            low=y(low),
            high=y(high),
            word=f"{clock.local(each.began):%H:%M}" if place % every == 0 else "",
            outside=not low <= each.share <= high,
        )
        for place, (each, (low, high)) in enumerate(zip(mix.periods, limits, strict=True))
    )
    upper = [f"{dot.x},{dot.high}" for dot in dots]
    lower = [f"{dot.x},{dot.low}" for dot in reversed(dots)]
    said = ", ".join(
        f"{clock.local(each.began):%H:%M} {_percent(each.share)} of {digits(each.counted)}" for each in mix.periods
    )
    return MixChart(
        title=f"{_name(mix, names)}, share of the trays by half hour",
        description=f"{said}. The limits are those of the first {_HOURS}.",
        dots=dots,
        line=" ".join(f"{dot.x},{dot.y}" for dot in dots),
        band=" ".join([*upper, *lower]),
        centre=y(chart.centre),
        top_word=_percent(chart.centre),
        foot=HEIGHT - _FOOT,
        left=_LEFT,
        width=WIDTH,
        height=HEIGHT,
        base_word=f"grey: what is usual, from the first {_HOURS} (half hours of {FEWEST} trays and more)",
    )
