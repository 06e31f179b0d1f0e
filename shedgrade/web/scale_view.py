"""A scale at the bench in words: which one, its pairing code, and what it sent."""

from dataclasses import dataclass
from datetime import datetime

from shedgrade.domain.scales import FRESH_FOR
from shedgrade.domain.units import DG_PER_G, say_weight
from shedgrade.storage.scales import Sent
from shedgrade.storage.tables import PairingCode, Scale, ScaleReading
from shedgrade.web.clock import Clock


@dataclass(frozen=True, slots=True)
class WaitingWords:
    """A reading that came late: when it was taken, its weight said and as it is typed."""

    id: int
    at: str
    weight: str
    typed: str


@dataclass(frozen=True, slots=True)
class HereView:
    """What a bench that is open is told: ``state`` is another one as soon as anything here is; ``live`` is what may go
    into the weight by itself, "" for nothing."""

    state: str
    reading_id: int
    live: str
    waiting: tuple[WaitingWords, ...]


@dataclass(frozen=True, slots=True)
class ScaleView:
    """The page on which a bench and a scale are paired; whether the scale's machine needs the shed's authority."""

    title: str
    scale: Scale | None
    code: str
    until: datetime | None
    address: str
    needs_authority: bool
    waiting: tuple[WaitingWords, ...]


def here_view(sent: Sent, clock: Clock) -> HereView:
    """What a bench is told now."""
    newest = sent.newest
    is_fresh = newest is not None and clock.real_now() - newest.read_at <= FRESH_FOR
    newest_id = newest.id or 0 if newest else 0
    first = sent.waiting[0].id if sent.waiting else 0
    return HereView(
        state=f"{newest_id}-{first}-{len(sent.waiting)}",
        reading_id=newest_id,
        live=as_typed(newest) if newest is not None and is_fresh else "",
        waiting=waiting_words(sent, clock),
    )


def waiting_words(sent: Sent, clock: Clock) -> tuple[WaitingWords, ...]:
    """The late ones, the oldest first."""
    return tuple(
        WaitingWords(
            each.id or 0,
            f"{clock.local(each.read_at + clock.shift):%H:%M:%S}",
            say_weight(each.weight_dg),
            as_typed(each),
        )
        for each in sent.waiting
    )


def as_typed(reading: ScaleReading) -> str:
    """A weight as it would be typed in grams."""
    grams, tenths = divmod(reading.weight_dg, DG_PER_G)
    return f"{grams}.{tenths}"


def code_words(shown: PairingCode | None) -> str:
    """The code in two groups, as it is read out."""
    return f"{shown.code[:4]} {shown.code[4:]}" if shown else ""
