"""Events of a run as rows, and rows as events."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Break, Cell, Event, Left, Place, Way, What
from shedgrade.storage.tables import RunBreak, RunEvent, RunLeft

_WHY, _FRUIT = {"why": "name"}, {"fruit": "fruit", "net_g": "net_g"}
_STATION = {"person_id": "person_id", "station": "name"}
# Each kind of event: what its rows are called, and which column holds which of its facts. Cell and place have columns
# of their own; breaks and what was left have tables.
_HELD: Mapping[type, tuple[str, Mapping[str, str]]] = {
    say.Paused: ("paused", _WHY),
    say.Resumed: ("resumed", {}),
    say.BinsTipped: ("bins", {"load_id": "consignment_id", "bins": "bins", "net_g": "net_g"}),
    say.BreaksChanged: ("breaks", _WHY),
    say.TraysPacked: ("trays", {"trays": "trays"}),
    say.TrayWeighed: ("tray weighed", {"gross_g": "gross_g", "tare_g": "tare_g"}),
    say.LooseWeighed: ("loose", {"net_g": "net_g"}),
    say.SharedBinUsed: ("shared bin", {"bin_id": "shared_bin_id"}),
    say.SampleTaken: ("sample", _FRUIT),
    say.SampleReturned: ("sample back", _FRUIT),
    say.StationTaken: ("station", _STATION),
    say.StationLeft: ("station left", _STATION),
    say.LineCleared: ("cleared", {}),
    say.Finished: ("finished", {}),
}
_EVENTS: Mapping[str, type] = {kind: event for event, (kind, _) in _HELD.items()}
_OF_CELLS = (say.TraysPacked, say.TrayWeighed)
TRAY_WEIGHED = _HELD[say.TrayWeighed][0]
KINDS_BESIDE_TRAYS = tuple(kind for event, (kind, _) in _HELD.items() if event not in _OF_CELLS)


@dataclass(frozen=True, slots=True)
class Beside:
    """What stands beside the rows of a run's events: who is called how, breaks by stretch, what was left by event."""

    people: Mapping[int, str]
    breaks: Mapping[int, tuple[Break, ...]]
    left: Mapping[int, tuple[Left, ...]]


def columns_of(event: Event) -> dict[str, Any]:
    """The columns of an event's row that are its own; a counter-entry's are those of what it takes back."""
    if isinstance(event, say.TakenBack):
        return columns_of(event.what)
    kind, held = _HELD[type(event)]
    columns = {"kind": kind, **{column: getattr(event, fact) for fact, column in held.items()}}
    if isinstance(event, _OF_CELLS):
        cell = event.cell
        columns |= {"stretch": cell.stretch, "class_id": cell.class_id, "tray_type_id": cell.tray_id}
        columns["counts"] = counts_text(cell.counts)
    if isinstance(event, say.LooseWeighed):
        place = event.place
        columns |= {"way": place.way.value, "name": place.name, "other_run_id": place.run_id}
    return columns


def event_of(row: RunEvent, beside: Beside, corrected: RunEvent | None = None) -> Event:
    """The event of a row; ``corrected`` is the row that a counter-entry names. What is taken back is of its time."""
    if corrected is not None:
        return say.TakenBack(row.at, corrected.number, _event(row, corrected, beside))
    return _event(row, row, beside)  # type: ignore[no-any-return]


def _event(row: RunEvent, when: RunEvent, beside: Beside) -> Any:
    event = _EVENTS[row.kind]
    facts = {fact: getattr(row, column) for fact, column in _HELD[event][1].items()}
    if event in _OF_CELLS:
        counts = counts_read(row.counts or "")
        facts["cell"] = Cell(row.stretch or 0, row.class_id or "", row.tray_type_id or 0, counts)
    elif event is say.LooseWeighed:
        facts["place"] = Place(Way(row.way or ""), row.name or "", row.other_run_id)
    elif event is say.StationTaken:
        facts["person"] = beside.people[row.person_id or 0]
    elif event is say.BreaksChanged:
        facts["breaks"] = beside.breaks.get(row.stretch or 0, ())
    elif event is say.LineCleared:
        facts["left"] = beside.left.get(row.id or 0, ())
    return event(at=when.at, **facts)


def counts_text(counts: Sequence[int]) -> str:
    """Counts as they are stored: 16 18."""
    return " ".join(map(str, counts))


def counts_read(text: str) -> tuple[int, ...]:
    """Counts as they were stored."""
    return tuple(map(int, text.split()))


def break_of(row: RunBreak) -> Break:
    """A size break."""
    return Break(row.tray_type_id, row.count, row.from_dg)


def left_of(row: RunLeft) -> Left:
    """What was left on the line."""
    place = Place(Way(row.way), row.name, row.other_run_id)
    return Left(What(row.what), place, row.fruit, row.net_g, row.tray_type_id or 0, row.count)


def left_row(event_id: int, place: int, left: Left) -> RunLeft:
    """Its row."""
    return RunLeft(
        event_id=event_id,
        place=place,
        what=left.what.value,
        way=left.goes.way.value,
        name=left.goes.name,
        other_run_id=left.goes.run_id,
        fruit=left.fruit,
        net_g=left.net_g,
        tray_type_id=left.tray_id or None,
        count=left.count,
    )
