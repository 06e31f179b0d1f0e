"""A stored sample under another spec: what its fruit would make, and what that is worth at the market's prices."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

import sqlalchemy
from sqlmodel import Session, col

from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.grading.many.graded import Placing
from shedgrade.domain.grading.what_if import StoredFruit, WhatMoves, what_moves
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.reports.judging import value_of
from shedgrade.storage import markets, samples, specs
from shedgrade.storage.loads import load_of
from shedgrade.storage.samples import SampleWhole
from shedgrade.storage.tables import Block, Consignment, Docket, Grower, Sample


@dataclass(frozen=True, slots=True)
class SampleWhatIf:
    """A sample under the version its consignment came in under, and under another spec. ``numbers`` are the fruit's own
    in the sample; ``currency`` is "" where no prices were asked for or none are in force."""

    sample: SampleWhole
    before_name: str
    moves: WhatMoves
    numbers: list[int]
    currency: str


def samples_of_crop(session: Session, crop_id: str, *, most: int, skip: int = 0) -> Sequence[SampleWhole]:
    """Samples of a crop that stand, the newest first; at most so many, after some skipped."""
    query = (
        sqlalchemy.select(Sample, Consignment, Docket, Block, Grower)
        .join(Consignment, col(Consignment.id) == Sample.consignment_id)
        .join(Docket, col(Docket.id) == Consignment.docket_id)
        .join(Block, col(Block.id) == Consignment.block_id)
        .join(Grower, col(Grower.id) == Block.grower_id)
        .where(col(Block.crop_id) == crop_id, col(Sample.voided_at).is_(None))
        .order_by(col(Sample.started_at).desc(), col(Sample.id).desc())
        .limit(most)
        .offset(skip)
    )
    return [SampleWhole(*row) for row in session.execute(query)]


def sample_under(session: Session, whole: SampleWhole, after: Spec, prices_on: date | None) -> SampleWhatIf:
    """The fruit of a sample under both specs; priced at the market's list in force on a day, None for no prices.
    ValueError where the spec is for other fruit."""
    consignment_id, sample = whole.consignment.id or 0, whole.sample
    version = specs.version(session, whole.consignment.spec_version_id)
    of_question = samples.drawn_fruit(session, consignment_ids=[consignment_id], question=sample.question)
    drawn = [each for each in of_question if each.sample_id == sample.id]
    load = load_of(session, consignment_id)
    tray = _tray(session, whole)
    prices = None if prices_on is None else markets.prices_in_force(session, whole.consignment.market_id, prices_on)

    def value(fruit: Fruit, placing: Placing) -> Fraction | None:
        return None if prices is None else value_of(prices, tray, placing, fruit.weight_dg)

    moves = what_moves(
        specs.spec_in(version),
        after,
        [StoredFruit(each.fruit, load, each.size_code) for each in drawn],
        trays=(tray, tray),
        value=None if prices is None else value,
    )
    name = f"{version.title}, version {version.version}"
    return SampleWhatIf(whole, name, moves, [each.number for each in drawn], "" if prices is None else prices.currency)


def _tray(session: Session, whole: SampleWhole) -> TrayType | None:
    """The tray the sample is counted for, else the first its market takes."""
    if whole.sample.tray_type_id is not None:
        return markets.tray_type(session, whole.sample.tray_type_id)
    return next((tray for _, tray in markets.market(session, whole.consignment.market_id).trays), None)
