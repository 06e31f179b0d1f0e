"""What a run has come to, as it follows from its events."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from shedgrade.domain.run.events import Break, Cell, Left, Load, Place, Started, Tray, Way
from shedgrade.domain.run.tally import Tally


@dataclass(frozen=True, slots=True)
class Stretch:
    """Packing under one set of breaks; ``number`` counts from one."""

    number: int
    began: datetime
    breaks: tuple[Break, ...]
    why: str = ""


@dataclass(frozen=True, slots=True)
class Tipped:
    """Bins of a consignment that were tipped; of these so many were weighed again, and had this net."""

    bins: int = 0
    weighed_bins: int = 0
    weighed_g: int = 0


@dataclass(frozen=True, slots=True)
class Handful:
    """So many fruit, and what they weighed."""

    fruit: int = 0
    net_g: int = 0


@dataclass(frozen=True, slots=True)
class SampleMark:
    """When fruit were taken for quality control, in which stretch, and how many bins had been tipped by then."""

    at: datetime
    stretch: int
    bins: int


@dataclass(frozen=True, slots=True)
class Station:
    """Who stood where, from when to when; ``until`` None: still."""

    person_id: int
    person: str
    station: str
    since: datetime
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class RunState:
    """A run so far.

    ``paused`` is how long the line stood, without a pause that still lasts since ``paused_since``. ``shared_bins`` says
    how often a bin that other runs fill too was used. ``cleared_at`` None: there is or may be fruit on the line.
    """

    started: Started
    stretches: tuple[Stretch, ...]
    tipped: Mapping[int, Tipped] = field(default_factory=dict)
    cells: Mapping[Cell, Tally] = field(default_factory=dict)
    loose: Mapping[Place, int] = field(default_factory=dict)
    shared_bins: Mapping[int, int] = field(default_factory=dict)
    taken: Handful = Handful()
    returned: Handful = Handful()
    samples: tuple[SampleMark, ...] = ()
    stations: tuple[Station, ...] = ()
    paused: timedelta = timedelta()
    paused_since: datetime | None = None
    left: tuple[Left, ...] = ()
    cleared_at: datetime | None = None
    finished_at: datetime | None = None

    @property
    def stretch(self) -> Stretch:
        """The one that is packed now."""
        return self.stretches[-1]

    @property
    def loads(self) -> tuple[Load, ...]:
        """The consignments of the run."""
        return self.started.loads

    def load(self, load_id: int) -> Load | None:
        """One of them."""
        return next((each for each in self.loads if each.id == load_id), None)

    def tray(self, tray_id: int) -> Tray | None:
        """One of the tray types that the run packs."""
        return next((each for each in self.started.trays if each.id == tray_id), None)

    @property
    def bins_tipped(self) -> int:
        """Bins of all consignments that this run tipped."""
        return sum(each.bins for each in self.tipped.values())

    def bins_left_of(self, load: Load) -> int:
        """Bins of a consignment that no run has tipped."""
        return max(load.bins - load.bins_elsewhere - self.tipped.get(load.id, Tipped()).bins, 0)

    @property
    def bins_left(self) -> int:
        """Bins of all consignments that no run has tipped."""
        return sum(map(self.bins_left_of, self.loads))

    @property
    def trays(self) -> int:
        """Trays packed, of every kind."""
        return sum(each.trays for each in self.cells.values())

    def trays_by_count(self) -> dict[tuple[str, int, tuple[int, ...]], int]:
        """Trays by class, tray type and counts, the stretches taken together."""
        found: dict[tuple[str, int, tuple[int, ...]], int] = {}
        for cell, tally in self.cells.items():
            key = (cell.class_id, cell.tray_id, cell.counts)
            found[key] = found.get(key, 0) + tally.trays
        return found

    def loose_g(self, way: Way) -> int:
        """Loose fruit weighed in one way, in grams."""
        return sum(net_g for place, net_g in self.loose.items() if place.way is way)

    @property
    def not_returned(self) -> Handful:
        """Fruit of samples that did not go back onto the line."""
        return Handful(self.taken.fruit - self.returned.fruit, self.taken.net_g - self.returned.net_g)

    @property
    def standing(self) -> tuple[Station, ...]:
        """Who stands at a station now."""
        return tuple(each for each in self.stations if each.until is None)
