"""A run's board in words large enough to read from three metres."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from shedgrade.domain.run.balance import balance
from shedgrade.domain.run.due import Due
from shedgrade.domain.run.events import Kind
from shedgrade.domain.run.packed import Packed
from shedgrade.domain.run.state import RunState
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import THIN, digits, say_day, say_percent
from shedgrade.reports.run_board import RunBoard
from shedgrade.reports.run_forecast import Forecast
from shedgrade.reports.run_mix import ClassMix
from shedgrade.web.clock import Clock
from shedgrade.web.ranges import share
from shedgrade.web.run_mix_view import MixView, mix_view
from shedgrade.web.run_page import KINDS, state_words


@dataclass(frozen=True, slots=True)
class Figure:
    """One large figure: what it is, the figure, and what it rests on."""

    word: str
    value: str
    beside: str
    kind: str = ""


@dataclass(frozen=True, slots=True)
class CountCell:
    """Trays of a class and count packed so far, and about how many more will come ("" where nobody can say)."""

    packed: str
    more: str


@dataclass(frozen=True, slots=True)
class TrayTable:
    """Trays of one tray type by class and count."""

    name: str
    counts: tuple[str, ...]
    rows: tuple[tuple[str, tuple[CountCell, ...], str], ...]


@dataclass(frozen=True, slots=True)
class BoardView:
    """The whole board. ``at`` is when it was read, in the shed's time; ``asks`` says whether it asks for itself again:
    a run that is over changes no more."""

    title: str
    run_id: int
    state: tuple[str, str]
    bins: str
    left: str
    pace: str
    figures: tuple[Figure, ...]
    tables: tuple[TrayTable, ...]
    to_come: str
    mix: MixView
    at: str
    asks: bool


def board_view(
    board: RunBoard, forecast: Forecast, mixes: tuple[ClassMix, ...], spec: Spec, clock: Clock, now: datetime
) -> BoardView:
    """What the board shows."""
    state = board.state
    names = {each.id: each.name for each in spec.classes}
    return BoardView(
        title=f"{KINDS[state.started.kind]} {' and '.join(load.name for load in state.loads)}",
        run_id=board.run.id,
        state=state_words(board.run),
        bins=f"{digits(state.bins_tipped)} of {digits(state.bins_tipped + state.bins_left)} bins tipped",
        left=_left(board, clock),
        pace="" if board.bins_an_hour is None else f"{digits(board.bins_an_hour, 1, trim=True)} bins an hour",
        figures=(_pack_out(state, forecast), _giveaway(board.packed), _sample(board.due, state, clock)),
        tables=_tables(state, names),
        to_come=_to_come_words(state),
        mix=mix_view(mixes, names, clock),
        at=f"{clock.local(now):%H:%M:%S}",
        asks=state.finished_at is None and board.run.voided is None,
    )


def _left(board: RunBoard, clock: Clock) -> str:
    left = board.state.bins_left
    if not left:
        return "none left"
    if board.done_at is None:
        return f"{digits(left)} left"
    done = clock.local(board.done_at)
    day = "" if done.date() == clock.today() else f" on {say_day(done.date())}"
    return f"{digits(left)} left, done about {done:%H:%M}{day}"


def _pack_out(state: RunState, forecast: Forecast) -> Figure:
    found = balance(state).pack_out
    value = "none yet" if found is None else say_percent(found)
    expected = forecast.pack_out
    if expected is None:
        beside = (
            f"no sample of {' and '.join(forecast.missing)}" if forecast.missing else "no sample to hold it against"
        )
        return Figure("Packed of what was tipped", value, beside)
    said = share(expected)
    return Figure(
        "Packed of what was tipped",
        value,
        f"sample said {said.both}, n {digits(expected.n_fruit)} from {digits(expected.n_draws)} "
        f"{'bin' if expected.n_draws == 1 else 'bins'}",
    )


def _giveaway(packed: Packed) -> Figure:
    share_given, given_g = packed.giveaway, packed.giveaway_g
    trays = packed.trays - packed.trays_by_label
    if share_given is None or given_g is None or not trays:
        return Figure("Given away", "not weighed", "no tray on the check scale yet")
    short = f", {digits(packed.short)} under the label" if packed.short else ""
    return Figure(
        "Given away",
        f"{digits(Fraction(given_g, trays))}{THIN}g a tray",
        f"{say_percent(share_given, 1)} over the label, n {digits(packed.weighed)} trays weighed{short}",
        "watch" if packed.short else "",
    )


def _sample(due: tuple[Due, ...], state: RunState, clock: Clock) -> Figure:
    if pressing := [each.why for each in due if each.now]:
        return Figure("Next sample", "now", pressing[0], "watch")
    times = [each.at for each in due if each.at is not None]
    if times:
        waiting = [each.why for each in due if each.at is None]
        return Figure("Next sample", f"{clock.local(min(times)):%H:%M}", f"or {waiting[0]}" if waiting else "")
    stands = "while the line stands" if state.paused_since is not None else "the run is over"
    return Figure("Next sample", "none due", stands if not due else due[0].why)


def _more(trays: int, state: RunState) -> Fraction | None:
    """Trays still to come, if the bins left pack like those tipped; None while that says nothing."""
    if not state.bins_tipped or state.cleared_at is not None or state.finished_at is not None:
        return None
    return Fraction(trays * state.bins_left, state.bins_tipped)


def _to_come_words(state: RunState) -> str:
    if state.started.kind is Kind.SIZING:
        return ""
    more = _more(state.trays, state)
    if more is None or not state.bins_left:
        return ""
    bins = "1 bin" if state.bins_tipped == 1 else f"{digits(state.bins_tipped)} bins"
    return f"About {digits(more)} to come, if the bins left pack like the {bins} tipped."


def _tables(state: RunState, names: Mapping[str, str]) -> tuple[TrayTable, ...]:
    found = {key: trays for key, trays in state.trays_by_count().items() if trays}
    tables = []
    for tray in state.started.trays:
        mine = {(key[0], key[2]): trays for key, trays in found.items() if key[1] == tray.id}
        counts = sorted({counts for _, counts in mine})
        rows = tuple(
            (
                names.get(class_id, class_id),
                tuple(_cell(mine.get((class_id, each), 0), state) for each in counts),
                digits(sum(trays for (of, _), trays in mine.items() if of == class_id)),
            )
            for class_id in state.started.classes
            if any(of == class_id for of, _ in mine)
        )
        if rows:
            tables.append(TrayTable(tray.name, tuple("+".join(map(str, each)) for each in counts), rows))
    return tuple(tables)


def _cell(trays: int, state: RunState) -> CountCell:
    if not trays:
        return CountCell("", "")
    more = _more(trays, state)
    return CountCell(digits(trays), f"+{digits(more)}" if more else "")
