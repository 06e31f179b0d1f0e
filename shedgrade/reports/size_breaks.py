"""Where the breaks between counts should stand for the fruit that were looked at, beside where they are often set."""

from collections.abc import Sequence
from dataclasses import dataclass

from shedgrade.domain.trays.best_breaks import best_breaks
from shedgrade.domain.trays.breaks import Breaks, Packing, at_midpoints, at_net_over_count
from shedgrade.domain.trays.giveaway_range import Sampled, other_breaks, sampled_giveaway
from shedgrade.reports.judging import JudgedDraws

# So many samples are drawn again: enough for a range that steers nobody wrong, and the page is there within a second.
_AGAIN = 60
_OTHER_BREAKS = 12
PLAIN, IN_FORCE = "Net weight over count", "In force now"

Draws = Sequence[Sequence[int]]


@dataclass(frozen=True, slots=True)
class Way:
    """Breaks set one way, and what they give away, with how far the sample may be off."""

    name: str
    breaks: Breaks
    sampled: Sampled


@dataclass(frozen=True, slots=True)
class BreaksReport:
    """The best breaks first, then others of the same packing. ``weights_dg`` are the fruit they were found from;
    ``others`` the best breaks of samples drawn again from these."""

    packing: Packing
    weights_dg: tuple[int, ...]
    n_draws: int
    ways: tuple[Way, ...]
    others: tuple[Breaks, ...]

    @property
    def best(self) -> Way:
        """The best breaks."""
        return self.ways[0]

    @property
    def plain(self) -> Way:
        """Those at net weight over count."""
        return next(way for way in self.ways if way.name == PLAIN)


def class_weights(judged: JudgedDraws, class_ids: frozenset[str]) -> tuple[tuple[int, ...], ...]:
    """The weights in decigrams of the fruit of these classes, draw by draw; draws without any are left out. Fruit too
    small or too big for a tray are among them: the breaks decide about those."""
    draws = (tuple(each.graded.weight_dg for each in draw if each.graded.class_id in class_ids) for draw in judged)
    return tuple(draw for draw in draws if draw)


def breaks_report(draws: Draws, packing: Packing, day_g: int | None, in_force: Breaks | None = None) -> BreaksReport:
    """The best breaks from these weights in decigrams, draw by draw, the two common ways to set them, and those in
    force; trays and money are those of ``day_g`` grams a day, else of the fruit themselves. ValueError without
    fruit."""
    weights = tuple(weight for draw in draws for weight in draw)
    ways = [
        ("Best for these fruit", best_breaks(weights, packing)),
        (PLAIN, at_net_over_count(packing)),
        ("Midway between counts", at_midpoints(packing)),
    ]
    if in_force is not None:
        ways.insert(1, (IN_FORCE, in_force))
    return BreaksReport(
        packing,
        weights,
        len(draws),
        tuple(Way(name, breaks, sampled_giveaway(draws, packing, breaks, day_g, _AGAIN)) for name, breaks in ways),
        other_breaks(draws, packing, _OTHER_BREAKS),
    )
