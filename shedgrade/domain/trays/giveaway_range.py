"""How far what breaks give away may be off, and where another sample would have put them.

The sample is drawn again from itself, as many bins (draws) as there were, each as often as chance has it; where the
weights come from one stretch of the line, as many fruit. The range is Student's t times the s.d. of what those samples
say, with m / (m - 1) for m draws: from six bins the bare quantiles of such samples miss too often.
Source: B. Efron, Bootstrap methods, Annals of Statistics 7 (1979), from memory.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt
from typing import TYPE_CHECKING

from shedgrade.domain.sampling.estimate import Estimate, Method
from shedgrade.domain.sampling.proportion import student_t
from shedgrade.domain.trays.best_breaks import best_breaks
from shedgrade.domain.trays.breaks import Breaks, Packing
from shedgrade.domain.trays.giveaway import Giveaway, giveaway

if TYPE_CHECKING:
    from shedgrade.domain.trays.spread import Weights

CONFIDENCE = 0.90
_SEED = 1969  # always the same, so that a page read twice says the same

Figure = Callable[[Giveaway], float | None]


@dataclass(frozen=True, slots=True)
class Sampled:
    """What breaks give away by a sample, and by as many others drawn from it."""

    found: Giveaway
    others: tuple[Giveaway, ...]
    n_fruit: int
    n_draws: int
    by_draw: bool

    def estimate(self, figure: Figure, confidence: float = CONFIDENCE, *, share: bool = False) -> Estimate | None:
        """A figure with its range, within 0 and 1 for a share; None where the figure is none."""
        value = figure(self.found)
        if value is None:
            return None
        off = self._off(figure, confidence)
        low, high = (None, None) if off is None else (value - off, value + off)
        if share and low is not None and high is not None:
            low, high = max(low, 0.0), min(high, 1.0)
        return Estimate(
            Fraction(value),
            None if low is None else Fraction(low),
            None if high is None else Fraction(high),
            self.n_fruit,
            self.n_draws,
            Method.DRAWN_AGAIN if self.by_draw else Method.DRAWN_AGAIN_FRUIT,
            confidence,
        )

    def _off(self, figure: Figure, confidence: float) -> float | None:
        """How far the figure may be off to either side; None where too few samples have it."""
        units = self.n_draws if self.by_draw else self.n_fruit
        said = [other for other in map(figure, self.others) if other is not None]
        if units < 2 or len(said) < 2:  # noqa: PLR2004 - one says nothing of how they differ
            return None
        middle = sum(said) / len(said)
        variance = sum((each - middle) ** 2 for each in said) / (len(said) - 1) * units / (units - 1)
        return student_t((1 + confidence) / 2, units - 1) * sqrt(variance)


def sampled_giveaway(
    draws: "Sequence[Weights]", packing: Packing, breaks: Breaks, day_g: float | None = None, times: int = 200
) -> Sampled:
    """What these breaks give away, with what ``times`` samples drawn again say. One draw: its fruit are drawn again.

    Weights in decigrams, draw by draw; ``day_g`` as in :func:`giveaway`. ValueError without fruit.
    """
    seen = [draw for draw in draws if len(draw)]
    by_draw = len(seen) > 1
    others = tuple(giveaway(again, packing, breaks, day_g) for again in drawn_again(seen, times))
    found = giveaway(_joined(seen), packing, breaks, day_g)
    return Sampled(found, others, sum(map(len, seen)), len(seen), by_draw)


def other_breaks(draws: "Sequence[Weights]", packing: Packing, times: int = 20) -> tuple[Breaks, ...]:
    """The best breaks of ``times`` samples drawn again: where they lie apart, the sample does not settle the break."""
    return tuple(best_breaks(again, packing) for again in drawn_again([draw for draw in draws if len(draw)], times))


def drawn_again(draws: "Sequence[Weights]", times: int) -> "Iterator[Weights]":
    """So many samples drawn from these draws; from the fruit of a single one."""
    import numpy as np  # noqa: PLC0415

    chance = np.random.default_rng(_SEED)
    every = [np.asarray(draw, dtype=np.int64) for draw in draws]
    for _ in range(times):
        if len(every) == 1:
            yield chance.choice(every[0], len(every[0]))
        else:
            yield np.concatenate([every[at] for at in chance.integers(len(every), size=len(every))])


def _joined(draws: "Sequence[Weights]") -> "Weights":
    import numpy as np  # noqa: PLC0415

    if not draws:
        raise ValueError("breaks need fruit")
    return np.concatenate([np.asarray(draw, dtype=np.int64) for draw in draws])
