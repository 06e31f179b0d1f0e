"""A made-up run in events: what tests of runs start from."""

from datetime import UTC, datetime, timedelta

from shedgrade.domain.run.events import Break, Cell, Kind, Load, Place, Started, Tray, Way
from shedgrade.domain.run.shares import Rule

SIX = datetime(2026, 1, 15, 6, tzinfo=UTC)
TRAY = Tray(1, "7 kg tray", 7000, (14, 16, 18))
CLASSES = ("premium", "first", "I", "II")
OUTLETS = ("processing", "juice", "waste")
BREAKS = (Break(1, 14, 5000), Break(1, 16, 4380), Break(1, 18, 3890))
JUICE, WASTE = Place(Way.OUTLET, "juice"), Place(Way.OUTLET, "waste")


def at(minutes: float) -> datetime:
    """So many minutes after six."""
    return SIX + timedelta(minutes=minutes)


def cell(class_id: str = "I", *counts: int, stretch: int = 1) -> Cell:
    return Cell(stretch, class_id, TRAY.id, counts or (16,))


def started(*loads: Load, kind: Kind = Kind.PACKING, rule: Rule = Rule.NET, run_id: int = 7) -> Started:
    """A run begun at six: of one consignment of 20 bins, 8 000 kg net, unless others are given."""
    whole = loads or (Load(1, "1042-1", 20, 8_000_000),)
    return Started(SIX, run_id, kind, whole, 1, CLASSES, OUTLETS, (TRAY,), BREAKS, rule)
