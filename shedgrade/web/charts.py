"""The geometry of bars and dots: positions in percent of the width, words already said. Templates only draw."""

from collections.abc import Sequence
from dataclasses import dataclass

from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.units import round_half_up
from shedgrade.web.ranges import percent, share


@dataclass(frozen=True, slots=True)
class BarRow:
    """One bar: ``low`` and ``high`` None where no range can be given; ``position`` 1 is the best class, 0 none."""

    word: str
    share: str
    range: str
    bar: float
    low: float | None
    high: float | None
    position: int = 1


@dataclass(frozen=True, slots=True)
class BarChart:
    """Bars under one another."""

    id: str
    title: str
    description: str
    base: str
    rows: tuple[BarRow, ...]


@dataclass(frozen=True, slots=True)
class DotChart:
    """A hundred fruit: ``sure`` ones up to the lower end of the range, ``unsure`` ones up to its upper end, the rest
    not. ``word`` says what they do: "go into trays"."""

    id: str
    title: str
    description: str
    base: str
    word: str
    sure: int
    unsure: int


def bar_row(word: str, estimate: Estimate, position: int = 1) -> BarRow:
    """A bar of a share. The whole fills the width on every page, so that bars of two pages can be laid side by side."""
    said = share(estimate)
    low, high = estimate.low, estimate.high
    return BarRow(
        word=word,
        share=said.value,
        range=said.range,
        bar=percent(estimate.value),
        low=None if low is None else percent(low),
        high=None if high is None else percent(high),
        position=position,
    )


def described(rows: Sequence[BarRow]) -> str:
    """The bars in words, for those who hear the page."""
    return ". ".join(f"{row.word}: {row.share}{f', likely {row.range}' if row.range else ''}" for row in rows) + "."


def hundred_dots(chart_id: str, title: str, base: str, word: str, estimate: Estimate) -> DotChart | None:
    """A share as a hundred dots; None where no range can be given, for then no dot is sure."""
    if estimate.low is None or estimate.high is None:
        return None
    sure, may = round_half_up(estimate.low * 100), round_half_up(estimate.high * 100)
    words = f"Of 100 fruit, {sure} very likely {word}, {may - sure} more perhaps, {100 - may} very likely not."
    return DotChart(chart_id, title, words, base, word, sure, may - sure)
