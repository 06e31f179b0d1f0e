"""What a consignment packs out, worked out from its intake samples under its own spec version."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum

from sqlmodel import Session

from shedgrade.domain.packout import PackOut
from shedgrade.domain.sampling.estimate import Estimate
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.markets import Prices


class TrayChoice(Enum):
    """Why the fruit were counted for this tray, in the words the page shows."""

    SAMPLE = "the tray the sample was counted for"
    SAMPLES_DIFFER = "the samples were counted for different trays, so this is the market's first tray"
    NOT_NAMED = "the sample names no tray, so this is the market's first tray"
    NONE = "neither the sample nor the market names a tray, so no fruit was counted into trays"


@dataclass(frozen=True, slots=True)
class Looked:
    """What was looked at: fruit and draws of the intake samples; ``others`` are the samples that do not count here,
    as (question, fruit)."""

    n_fruit: int
    n_draws: int
    samples: tuple[int, ...]
    others: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """Fruit of one class and count: what was found, both shares, expected trays (None without a net weight)."""

    class_id: str
    count: int
    found: int
    by_number: Estimate
    by_weight: Estimate
    trays: Estimate | None


@dataclass(frozen=True, slots=True)
class PackoutReport:
    """Everything the pack-out page says; ``packout`` is None while no fruit was looked at.

    ``net_known`` False means nothing was weighed yet: then shares stand, kilograms, trays and value do not.
    """

    whole: ConsignmentWhole
    net_g: int
    net_known: bool
    received_on: date
    spec: Spec
    spec_version_id: int
    spec_version: int
    tray: TrayType | None
    tray_choice: TrayChoice
    prices: Prices | None
    looked: Looked
    packout: PackOut | None
    cells: tuple[Cell, ...]


def packout_of(session: Session, whole: ConsignmentWhole, prices: Prices | None) -> PackoutReport:
    """The pack-out of a consignment, valued at ``prices``, those in force on the day it was received."""
    raise NotImplementedError


def tray_cells(session: Session, whole: ConsignmentWhole, tray: TrayType) -> Mapping[tuple[str, int], Estimate]:
    """Expected trays of the consignment by (class id, count), as the pack-out report shows them; each two-sided 95 %.

    Empty while no fruit was looked at or nothing was weighed.
    """
    raise NotImplementedError


def promised_cells(
    session: Session, whole: ConsignmentWhole, tray: TrayType, confidence: float = 0.90
) -> Mapping[tuple[str, int], Estimate]:
    """The same cells with what can be promised: ``low`` is exceeded with this confidence."""
    raise NotImplementedError
