"""The mass balance of a run, and of each consignment of a combined one, held against the shed's own rule."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.domain.run.balance import USUAL_CAUSES, MassBalance, balance, by_load
from shedgrade.domain.run.packed import Packed, packed
from shedgrade.domain.settings import UNACCOUNTED
from shedgrade.storage import settings
from shedgrade.storage.runs import RunWhole
from shedgrade.storage.shared_bins import shared_bins_of

_HUNDRED = 100


@dataclass(frozen=True, slots=True)
class RunBalance:
    """``parts`` are the consignments by id, shared by the run's rule; ``most`` is the share that may be unaccounted
    for. ``causes`` are worth a look where it is more; empty where it is not."""

    whole: MassBalance
    parts: Mapping[int, MassBalance]
    packed: Packed
    most: Fraction
    causes: tuple[str, ...]


def balance_of(session: Session, person: Person, run: RunWhole, today: date) -> RunBalance:
    """The balance of a run that this person has loaded; ``today`` is the shed's day, whose rule holds."""
    whole = balance(run.state, shared_bins_of(session, person, run))
    most = Fraction(settings.in_force(session, UNACCOUNTED, today), _HUNDRED)
    causes = USUAL_CAUSES if whole.is_off(most) else ()
    return RunBalance(whole, by_load(whole, run.state), packed(run.state), most, causes)
