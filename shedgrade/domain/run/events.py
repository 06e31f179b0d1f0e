"""What happens in a run, as it is said in the shed. Weights are net grams unless a name says gross or tare.

Nothing that happened is taken out again: what was entered wrongly is taken back by an entry of its own that names it.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from shedgrade.domain.run.shares import Rule


class Kind(StrEnum):
    """What a run is for."""

    PACKING = "packing"
    SIZING = "sizing pass"
    RERUN = "re-run"


@dataclass(frozen=True, slots=True)
class Load:
    """A consignment of a run: its bins and net as received, its declared ``parts`` of a combined run, and the bins of
    it that other runs tipped, by the run's id."""

    id: int
    name: str
    bins: int
    net_g: int
    parts: int = 0
    elsewhere: tuple[tuple[int, int], ...] = ()

    @property
    def bins_elsewhere(self) -> int:
        """Bins that other runs tipped."""
        return sum(bins for _, bins in self.elsewhere)


@dataclass(frozen=True, slots=True)
class Tray:
    """A tray type that a run packs, with the net weight on its label and the counts it is packed in."""

    id: int
    name: str
    label_g: int
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Break:
    """The lightest fruit of a count in a tray type, in tenths of a gram."""

    tray_id: int
    count: int
    from_dg: int


@dataclass(frozen=True, slots=True)
class Cell:
    """What trays are told apart by: the stretch they were packed in, class, tray type, and count. A tray that holds
    neighbouring counts is declared as such and has them all."""

    stretch: int
    class_id: str
    tray_id: int
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Started:
    """Packing began. ``classes`` and ``outlets`` are the ids of those of the spec; ``rule`` says how a declared
    combination is shared."""

    at: datetime
    run_id: int
    kind: Kind
    loads: tuple[Load, ...]
    spec_version_id: int
    classes: tuple[str, ...]
    outlets: tuple[str, ...]
    trays: tuple[Tray, ...] = ()
    breaks: tuple[Break, ...] = ()
    rule: Rule = Rule.NET


@dataclass(frozen=True, slots=True)
class Paused:
    """The line stands."""

    at: datetime
    why: str = ""


@dataclass(frozen=True, slots=True)
class Resumed:
    """The line goes on."""

    at: datetime


@dataclass(frozen=True, slots=True)
class BinsTipped:
    """Bins of a consignment went onto the line: whole as received, or with the net they had when weighed again."""

    at: datetime
    load_id: int
    bins: int
    net_g: int | None = None


@dataclass(frozen=True, slots=True)
class BreaksChanged:
    """From now on a new stretch."""

    at: datetime
    breaks: tuple[Break, ...]
    why: str = ""


@dataclass(frozen=True, slots=True)
class TraysPacked:
    """So many trays more."""

    at: datetime
    cell: Cell
    trays: int = 1


@dataclass(frozen=True, slots=True)
class TrayWeighed:
    """A check-weight of one packed tray."""

    at: datetime
    cell: Cell
    gross_g: int
    tare_g: int

    @property
    def net_g(self) -> int:
        """The fruit."""
        return self.gross_g - self.tare_g


class Way(StrEnum):
    """Where loose fruit came from or went to."""

    OUTLET = "outlet"
    CARRIED_IN = "carried in"
    CARRIED_OUT = "carried out"
    SIZED = "sized"
    RERUN = "re-run"


@dataclass(frozen=True, slots=True)
class Place:
    """A way, and which one: the outlet of the spec by its id, the weight group of a sizing pass, the other run."""

    way: Way
    name: str = ""
    run_id: int | None = None


@dataclass(frozen=True, slots=True)
class LooseWeighed:
    """Loose fruit weighed in at a place."""

    at: datetime
    place: Place
    net_g: int


@dataclass(frozen=True, slots=True)
class SharedBinUsed:
    """Fruit of this run went into a bin of an outlet that other runs fill too; it is weighed when it is full."""

    at: datetime
    bin_id: int


@dataclass(frozen=True, slots=True)
class SampleTaken:
    """Fruit taken off the line for quality control."""

    at: datetime
    fruit: int
    net_g: int


@dataclass(frozen=True, slots=True)
class SampleReturned:
    """Fruit of such samples put back onto the line."""

    at: datetime
    fruit: int
    net_g: int


@dataclass(frozen=True, slots=True)
class StationTaken:
    """Somebody stands at a station of the line from now on."""

    at: datetime
    person_id: int
    person: str
    station: str


@dataclass(frozen=True, slots=True)
class StationLeft:
    """They stand there no longer."""

    at: datetime
    person_id: int
    station: str


class What(StrEnum):
    """What can be left on a line."""

    LOOSE = "loose fruit"
    PART_TRAY = "part tray"
    LUGS = "lugs to re-run"


@dataclass(frozen=True, slots=True)
class Left:
    """What was left on the line and where it goes. ``net_g`` None: not weighed, only its fruit were counted.

    ``tray_id`` and ``count`` are what it was sized for, 0 where that is unknown."""

    what: What
    goes: Place
    fruit: int = 0
    net_g: int | None = None
    tray_id: int = 0
    count: int = 0


@dataclass(frozen=True, slots=True)
class LineCleared:
    """Nothing is on the line any more; ``left`` is what there was. Cleared again, the later one stands in its place."""

    at: datetime
    left: tuple[Left, ...] = ()


@dataclass(frozen=True, slots=True)
class Finished:
    """The run is over."""

    at: datetime


Amount = BinsTipped | TraysPacked | TrayWeighed | LooseWeighed | SharedBinUsed | SampleTaken | SampleReturned


@dataclass(frozen=True, slots=True)
class TakenBack:
    """A counter-entry: entry number ``of`` was wrong by ``what``, which is all of it, or some trays of it."""

    at: datetime
    of: int
    what: Amount


Event = (
    Started
    | Paused
    | Resumed
    | BreaksChanged
    | StationTaken
    | StationLeft
    | LineCleared
    | Finished
    | TakenBack
    | Amount
)
