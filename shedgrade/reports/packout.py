"""What a consignment packs out, worked out from its intake samples under its own spec version."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from sqlmodel import Session

from shedgrade.domain.sampling.drawn import Sample
from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.reports.findings import CONFIDENCE, Cell, Findings, OutletCase, cell_keys, findings_of
from shedgrade.reports.judging import graded, intake_fruit, judge
from shedgrade.reports.net import net_of
from shedgrade.reports.tray_choice import TrayChoice, chosen_tray
from shedgrade.storage import draws, loads, samples, specs
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.markets import Prices
from shedgrade.storage.samples import VoidedLook

__all__ = [
    "Cell",
    "Cells",
    "Findings",
    "Looked",
    "OutletCase",
    "PackoutReport",
    "TrayChoice",
    "packout_of",
    "promised_cells",
    "tray_cells",
]

Cells = Mapping[tuple[str, int], Estimate]


@dataclass(frozen=True, slots=True)
class Looked:
    """What was looked at: fruit and bins of the intake samples. ``others`` are the samples that do not count here, as
    (question, fruit), ``voided`` those that count nowhere."""

    n_fruit: int
    n_draws: int
    sample_ids: tuple[int, ...]
    others: tuple[tuple[str, int], ...]
    voided: tuple[VoidedLook, ...]


@dataclass(frozen=True, slots=True)
class PackoutReport:
    """Everything the pack-out page says; ``findings`` is None while no fruit was looked at.

    ``net_g`` 0 means nothing was weighed: then shares stand; kilograms, trays and value mean nothing.
    """

    whole: ConsignmentWhole
    net_g: int
    spec: Spec
    spec_version: int
    tray: TrayType | None
    tray_choice: TrayChoice
    prices: Prices | None
    looked: Looked
    findings: Findings | None


def packout_of(session: Session, whole: ConsignmentWhole, prices: Prices | None) -> PackoutReport:
    """The pack-out of a consignment, valued at ``prices``, those in force on the day it was received."""
    version = specs.version(session, whole.consignment.spec_version_id)
    spec, net_g = specs.spec_in(version), net_of(whole).net_g
    by_bin = intake_fruit(session, [whole.id]).get(whole.id, ())
    looked = _looked(session, whole.id, sum(map(len, by_bin)), len(by_bin))
    counted = [each for each in draws.samples_of_all(session, [whole.id]) if each.id in looked.sample_ids]
    chosen = chosen_tray(session, whole.consignment.market_id, counted)
    judged = judge(spec, by_bin, chosen.tray, loads.load_of(session, whole.id), prices)
    return PackoutReport(
        whole=whole,
        net_g=net_g,
        spec=spec,
        spec_version=version.version,
        tray=chosen.tray,
        tray_choice=chosen.why,
        prices=prices,
        looked=looked,
        findings=findings_of(spec, judged, net_g, len(whole.bins)) if judged else None,
    )


def tray_cells(session: Session, whole: ConsignmentWhole, tray: TrayType) -> Cells:
    """Expected trays of the consignment by (class id, count), as its pack-out report shows them.

    Empty while no fruit was looked at or nothing was weighed.
    """
    sample = _drawn_sample(session, whole, tray)
    return {} if sample is None else {key: sample.trays(*key, CONFIDENCE) for key in cell_keys(sample)}


def promised_cells(session: Session, whole: ConsignmentWhole, tray: TrayType, confidence: float = 0.90) -> Cells:
    """The same cells with what can be promised: ``low`` is exceeded with this confidence."""
    sample = _drawn_sample(session, whole, tray)
    return {} if sample is None else {key: sample.promised_trays(*key, confidence) for key in cell_keys(sample)}


def _drawn_sample(session: Session, whole: ConsignmentWhole, tray: TrayType) -> Sample | None:
    by_bin = intake_fruit(session, [whole.id]).get(whole.id, ())
    net_g = net_of(whole).net_g
    if not by_bin or not net_g:
        return None
    spec, load = specs.spec_of(session, whole.consignment.spec_version_id), loads.load_of(session, whole.id)
    return Sample.of(graded(judge(spec, by_bin, tray, load)), net_g)


def _looked(session: Session, consignment_id: int, n_fruit: int, n_draws: int) -> Looked:
    lines = [line for line in samples.samples_of(session, consignment_id) if line.fruit and not line.voided]
    others: Counter[str] = Counter()
    for line in lines:
        if line.sample.question != "intake":
            others[line.sample.question] += line.fruit
    counted = tuple(line.sample.id or 0 for line in lines if line.sample.question == "intake")
    voided = samples.voided_looks(session, [consignment_id]).get(consignment_id, ())
    return Looked(n_fruit, n_draws, counted, tuple(others.items()), voided)
