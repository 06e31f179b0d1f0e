"""The demo season as written in seed_data/season.toml, and the sampled fruit it leads to."""

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from functools import cache
from itertools import count
from random import Random
from typing import Any

from shedgrade import paths
from shedgrade.demo.orchard import Bearing, Fault, bins_of
from shedgrade.domain.grading.one import Fruit, grade
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_spec

Draws = tuple[tuple[Fruit, ...], ...]

# A pick is drawn again with the next seed until its small drama can be found in it; this many tries are plenty.
_MOST_TRIES = 5_000


@dataclass(frozen=True, slots=True)
class Season:
    """The whole story; ``tables`` is the file as read."""

    tables: Mapping[str, Any]
    first_day: date
    last_day: date

    def day(self, number: int) -> date:
        """The date of a day of the season; day 1 is the first, day 0 the one before."""
        return self.first_day + timedelta(days=number - 1)

    def moment(self, day: int, clock: str) -> datetime:
        """A time of day on a day of the season, in the demo shed's zone, which is UTC."""
        return datetime.combine(self.day(day), time.fromisoformat(clock), UTC)

    def picked(self, day: int, hours: str) -> tuple[datetime, datetime]:
        """From and to of a pick; one that ends earlier than it began was picked overnight, from the evening before."""
        begin, end = hours.split("-")
        start = self.moment(day - 1 if begin > end else day, begin)
        return start, self.moment(day, end)

    def block(self, name: str) -> Mapping[str, Any]:
        """What the file says of a block."""
        return next(block for block in self.tables["block"] if block["name"] == name)

    def bearing(self, consignment: Mapping[str, Any]) -> Bearing:
        """What the block bore at this pick: its habit, what every fruit may have, and what was different that day."""
        block = self.block(consignment["block"])
        crop = library.crops()[block["crop"]]
        faults = {**self.tables["background"][crop.id], **block["faults"], **consignment.get("only", {})}
        return Bearing(
            crop,
            consignment.get("mean", block["mean"]),
            block["spread"],
            {int(stage): share for stage, share in block.get("stages", {}).items()},
            {kind: Fault(*figures) for kind, figures in faults.items()},
        )


@cache
def season() -> Season:
    """The season in seed_data."""
    tables = tomllib.loads((paths.SEED_DATA / "season.toml").read_text("utf-8"))
    first = tables["first_day"]
    return Season(tables, first, first + timedelta(days=tables["last_day"] - 1))


@cache
def market_specs() -> Mapping[str, Spec]:
    """The invented buyers' own specs."""
    files = sorted((paths.SEED_DATA / "specs").glob("*.toml"))
    specs = (read_spec(file.read_text("utf-8"), library.crops()) for file in files)
    return {spec.id: spec for spec in specs}


def spec_named(name: str) -> Spec:
    """A buyer's own spec, or a standard."""
    return market_specs().get(name) or library.standards()[name]


def sample_of(bearing: Bearing, consignment: Mapping[str, Any], spec: Spec, seed: str) -> Draws:
    """The sample taken of a consignment: fruit by bin, drawn until what the story wants is found in it."""
    bins, each = consignment["sample"]
    fits = _story(consignment.get("wants"), spec)
    tries = (tuple(bins_of(bearing, bins, each, Random(f"{seed} {attempt}"))) for attempt in count())
    return next(draws for draws, _ in zip(tries, range(_MOST_TRIES), strict=False) if fits(draws))


def rejects_of(bearing: Bearing, spec: Spec, fruit: int, good: int, seed: str) -> tuple[Fruit, ...]:
    """What lay on the reject belt: fruit of no class, and so many good ones that were thrown out among them."""
    random = Random(seed)
    rejects: list[Fruit] = []
    thrown_out: list[Fruit] = []
    for one in _endless(bearing, random):
        verdict = grade(spec, one)
        marked = any(defect.area_mm2 for defect in one.defects)
        if verdict.class_id is None and len(rejects) < fruit - good:
            rejects.append(one)
        elif verdict.class_id is not None and marked and len(thrown_out) < good:
            thrown_out.append(one)
        if len(rejects) + len(thrown_out) == fruit:
            break
    mixed = rejects + thrown_out
    random.shuffle(mixed)
    return tuple(mixed)


def _endless(bearing: Bearing, random: Random) -> Iterator[Fruit]:
    while True:
        for drawn in bins_of(bearing, 1, 10, random):
            yield from drawn


def _story(wants: Mapping[str, Any] | None, spec: Spec) -> Callable[[Draws], bool]:
    if wants is None:
        return bool
    if "fault" in wants:
        return lambda draws: _with_fault(draws, wants["fault"]) == wants["fruit"]
    share = Fraction(wants["share"]) / 100
    return lambda draws: abs(_share_of(draws, spec, wants["best"]) - share) <= Fraction(1, 200)


def _with_fault(draws: Draws, kind: str) -> int:
    return sum(any(defect.kind == kind for defect in fruit.defects) for drawn in draws for fruit in drawn)


def _share_of(draws: Draws, spec: Spec, classes: Sequence[str]) -> Fraction:
    judged = [grade(spec, fruit).class_id in classes for drawn in draws for fruit in drawn]
    return Fraction(sum(judged), len(judged))
