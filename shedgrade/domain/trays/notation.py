"""A tray written in one line: its net weight, a colon, its counts. "7 kg: 12 14 16 18 20"."""

import re

from shedgrade.domain import entry
from shedgrade.domain.entry import EntryError
from shedgrade.domain.entry.errors import shown
from shedgrade.domain.trays.counts import TrayType

ACCEPTED = 'a net weight and the counts, such as "7 kg: 12 14 16 18 20", is accepted'
_MOST_FRUIT = 1_000
_MOST_G = 100_000


def read_tray(text: str) -> TrayType:
    """The tray; EntryError says what was found and what would be accepted. Counts may come in any order."""
    net, colon, counts = text.partition(":")
    if not colon or not counts.strip():
        raise EntryError(f"{shown(text)} is not a tray", ACCEPTED)
    net_g = entry.mass(net, most_g=_MOST_G)
    numbers = sorted(entry.whole(count, least=1, most=_MOST_FRUIT) for count in re.split(r"[\s,;]+", counts.strip()))
    try:
        return TrayType("tray", " ".join(text.split()), net_g, tuple(numbers))
    except ValueError as mistake:
        raise EntryError(f"{shown(text)} is not a tray: {mistake}", ACCEPTED) from mistake
