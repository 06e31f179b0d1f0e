"""Maturity tests in words."""

from dataclasses import dataclass
from datetime import date, datetime

from shedgrade.domain.bound import say
from shedgrade.domain.crop import CropMeasure
from shedgrade.domain.maturity import Mean
from shedgrade.domain.people import Doer
from shedgrade.domain.units import say_day
from shedgrade.storage.maturity import MaturityWhole
from shedgrade.storage.voided import Voided


@dataclass(frozen=True, slots=True)
class MeanWords:
    """One mean: what of, the figure, its likely range ("" where nobody can tell), of how many fruit, the figures."""

    name: str
    mean: str
    likely: str
    of: str
    figures: str


@dataclass(frozen=True, slots=True)
class MaturityLine:
    """One test as it is read."""

    id: int
    taken_on: date
    fruit: int
    cut: bool
    tested_at: datetime
    tested_by: Doer
    means: tuple[MeanWords, ...]
    voided: Voided | None

    @property
    def title(self) -> str:
        """What it is called: "Test of Mon 12 Jan 2026"."""
        return f"{'Voided test' if self.voided else 'Test'} of {say_day(self.taken_on)}"


def test_line(test: MaturityWhole) -> MaturityLine:
    """A test in words."""
    row = test.row
    return MaturityLine(
        id=row.id or 0,
        taken_on=row.taken_on,
        fruit=row.fruit,
        cut=row.cut,
        tested_at=row.tested_at,
        tested_by=test.tested_by,
        means=tuple(
            _mean_words(measure, mean, tuple(say(each, measure.unit) for each in figures))
            for measure, mean, figures in test.means
        ),
        voided=test.voided,
    )


def _mean_words(measure: CropMeasure, mean: Mean, figures: tuple[str, ...]) -> MeanWords:
    likely = ""
    if mean.low is not None and mean.high is not None:
        likely = f"{say(mean.low, measure.unit)} to {say(mean.high, measure.unit)}"
    of = "1 fruit" if mean.fruit == 1 else f"{mean.fruit} fruit"
    return MeanWords(measure.name, say(mean.value, measure.unit), likely, of, ", ".join(figures))


def reading_hint(measure: CropMeasure) -> str:
    """How a measure is typed."""
    how = "one figure a fruit with spaces between, or the one mean of all of them."
    return f"In {measure.unit}, {how}" if measure.unit else how.capitalize()
