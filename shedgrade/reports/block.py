"""What a block's fruit were like, consignment by consignment and all together."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlmodel import Session

from shedgrade.domain.grading.facts import Load
from shedgrade.domain.people import Person
from shedgrade.domain.spec.model import Spec
from shedgrade.reports.judging import ByBin, intake_fruit, judge
from shedgrade.reports.net import net_of
from shedgrade.reports.season import LookedAt, Season, season_of
from shedgrade.reports.shares import ConsignmentShares, shares_of
from shedgrade.reports.tray_choice import ChosenTray, chosen_tray
from shedgrade.storage import draws, growers, intake, loads, samples, specs
from shedgrade.storage.growers import BlockOfGrower
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.samples import VoidedLook

if TYPE_CHECKING:
    from shedgrade.storage.tables import Sample


@dataclass(frozen=True, slots=True)
class BlockConsignment:
    """One consignment of the block; ``shares`` is None while no fruit of it was looked at that counts. ``voided_looks``
    are its samples that count no longer."""

    whole: ConsignmentWhole
    net_g: int
    spec: Spec
    shares: ConsignmentShares | None
    voided_looks: tuple[VoidedLook, ...] = ()


@dataclass(frozen=True, slots=True)
class BlockReport:
    """Everything the block page says; consignments newest first. ``season`` is None while no fruit was looked at;
    ``voided`` consignments are shown and count nowhere."""

    found: BlockOfGrower
    consignments: tuple[BlockConsignment, ...]
    season: Season | None
    voided: tuple[ConsignmentWhole, ...] = ()


def block_report(session: Session, person: Person, block_id: int) -> BlockReport:
    """The block's report; MissingError if there is no such block this person may see."""
    found = growers.block_for(session, person, block_id)
    every = intake.consignments_for(session, person, block_id=block_id)
    wholes = [whole for whole in every if not whole.voided]
    ids = [whole.id for whole in wholes]
    fruit = intake_fruit(session, ids)
    trays = _trays(session, wholes, fruit)
    versions = {whole.consignment.spec_version_id for whole in wholes}
    judged_by = {version: specs.spec_of(session, version) for version in versions}
    shared = loads.loads_of(session, ids)
    looks = [
        _look(whole, judged_by[whole.consignment.spec_version_id], fruit.get(whole.id, ()), trays, shared)
        for whole in wholes
    ]
    looked = [look for _, look in looks if look is not None]
    voided_looks = samples.voided_looks(session, ids)
    rows = tuple(replace(row, voided_looks=voided_looks.get(row.whole.id, ())) for row, _ in looks)
    voided = tuple(whole for whole in every if whole.voided)
    return BlockReport(found, rows, season_of(looked) if looked else None, voided)


def _trays(session: Session, wholes: Sequence[ConsignmentWhole], fruit: Mapping[int, ByBin]) -> dict[int, ChosenTray]:
    """The tray of each consignment that was looked at; consignments of one market and one tray ask once."""
    counted = {each.sample_id for by_bin in fruit.values() for draw in by_bin for each in draw}
    by_consignment: dict[int, list[Sample]] = defaultdict(list)
    for sample in draws.samples_of_all(session, list(fruit)):
        if sample.id in counted:
            by_consignment[sample.consignment_id].append(sample)
    asked: dict[tuple[int, frozenset[int | None]], ChosenTray] = {}
    chosen = {}
    for whole in wholes:
        samples = by_consignment[whole.id]
        key = whole.consignment.market_id, frozenset(sample.tray_type_id for sample in samples)
        if samples and key not in asked:
            asked[key] = chosen_tray(session, whole.consignment.market_id, samples)
        if samples:
            chosen[whole.id] = asked[key]
    return chosen


def _look(
    whole: ConsignmentWhole,
    spec: Spec,
    by_bin: ByBin,
    trays: Mapping[int, ChosenTray],
    shared: Mapping[int, Load],
) -> tuple[BlockConsignment, LookedAt | None]:
    net_g = net_of(whole).net_g
    if not by_bin:
        return BlockConsignment(whole, net_g, spec, None), None
    judged = judge(spec, by_bin, trays[whole.id].tray, shared[whole.id])
    shares = shares_of(judged, spec, net_g)
    return BlockConsignment(whole, net_g, spec, shares), LookedAt(whole.id, spec, shares, judged)
