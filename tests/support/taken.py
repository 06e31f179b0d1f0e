"""What was taken of a fruit and of its load, written as a person would: diameter = "42 mm", dry_matter = "21 %"."""

from datetime import date
from fractions import Fraction

from shedgrade.domain.bound import Bound
from shedgrade.domain.crop import Crop
from shedgrade.domain.grading.facts import Load, MaturityFigure


def in_base_units(text: str) -> Fraction:
    """A figure with its unit, such as "10.5 Brix", in base units."""
    figure = Bound.parse(f">= {text}").low
    assert figure is not None
    return figure


def measures(crop: Crop, **texts: str) -> tuple[tuple[str, int], ...]:
    """Measures of one fruit as they are stored, by the crop's ids with underscores."""
    return tuple(
        (name, int(in_base_units(text) * crop.measure(name).per_base))
        for name, text in ((key.replace("_", "-"), text) for key, text in texts.items())
    )


def load(
    variety: str | None = None,
    *,
    stage: str | None = None,
    grown_in: str | None = None,
    day: date | None = None,
    **means: str,
) -> Load:
    """A load; the rest are maturity tests of ten fruit, by the crop's ids with underscores."""
    tests = tuple(MaturityFigure(key.replace("_", "-"), in_base_units(text), 10) for key, text in means.items())
    return Load(variety, day, stage, grown_in=grown_in, tests=tests)
