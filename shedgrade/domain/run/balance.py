"""Where every kilogram of a run went.

    received + carried in = packed (measured) + outlets + storage loss + fruit not returned from samples
                            + carried out + unaccounted

Waste is an outlet that does not count as packed. Fruit put through again in the same run stands on neither side. The
balance is provisional while a bin that several runs fill is not weighed, or what was left on the line only counted.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain.run.events import Left, Way
from shedgrade.domain.run.packed import packed
from shedgrade.domain.run.shares import Rule, share_out
from shedgrade.domain.run.state import RunState, Tipped
from shedgrade.domain.units import Exact, round_half_up

USUAL_CAUSES = (
    "The tare of the bins was guessed or is old.",
    "The fruit was wet when it was weighed.",
    "Trays were counted at label weight, and carry more.",
    "Fruit of the run before was still on the line.",
    "Fruit put through again was counted twice.",
    "Trays were repacked and counted again.",
    "Outlet bins of several growers were weighed together at the end of the day.",
)
"""Common practice: what people who keep such balances look for first."""


@dataclass(frozen=True, slots=True)
class SharedBin:
    """A bin of an outlet that several runs fill. ``net_g`` None: not weighed yet. ``weights`` are what it is shared by,
    a figure for each run by its id: the net tipped in grams or the bins tipped, as the rule says."""

    id: int
    outlet_id: str
    rule: Rule
    weights: Mapping[int, int]
    net_g: int | None = None

    def share_of(self, run_id: int) -> int | None:
        """What of it this run put in, in grams; None while nobody can say."""
        if self.net_g is None or not sum(self.weights.values()):
            return None
        return share_out(self.net_g, self.weights).get(run_id, 0)


@dataclass(frozen=True, slots=True)
class MassBalance:
    """Every line in grams. ``rerun_g`` was put through again and stands on neither side. ``provisional`` says in
    sentences why the balance is not the last word; empty if it is."""

    received_g: int
    carried_in_g: int
    packed_g: int
    by_label_g: int
    outlets: Mapping[str, int]
    storage_loss_g: int
    samples_g: int
    carried_out_g: int
    rerun_g: int = 0
    provisional: tuple[str, ...] = ()

    @property
    def in_g(self) -> int:
        """The left side."""
        return self.received_g + self.carried_in_g

    @property
    def outlets_g(self) -> int:
        """All outlets, waste among them."""
        return sum(self.outlets.values())

    @property
    def _besides_packed_g(self) -> int:
        return self.outlets_g + self.storage_loss_g + self.samples_g + self.carried_out_g

    @property
    def unaccounted_g(self) -> int:
        """What nobody can say of, by what the trays weigh; negative where more came out than went in."""
        return self.in_g - self.packed_g - self._besides_packed_g

    @property
    def unaccounted_by_label_g(self) -> int:
        """The same, had the trays weighed what their labels say."""
        return self.in_g - self.by_label_g - self._besides_packed_g

    @property
    def unaccounted(self) -> Fraction | None:
        """As a share of what went in; None of nothing."""
        return Fraction(self.unaccounted_g, self.in_g) if self.in_g else None

    @property
    def unaccounted_by_label(self) -> Fraction | None:
        """The same by label."""
        return Fraction(self.unaccounted_by_label_g, self.in_g) if self.in_g else None

    @property
    def pack_out(self) -> Fraction | None:
        """Packed weight over received net weight; None of nothing."""
        return Fraction(self.packed_g, self.received_g) if self.received_g else None

    @property
    def pack_out_by_label(self) -> Fraction | None:
        """The same by label."""
        return Fraction(self.by_label_g, self.received_g) if self.received_g else None

    def is_off(self, most: Exact) -> bool:
        """Whether more than this share is unaccounted for, either way: then USUAL_CAUSES are worth a look."""
        return self.unaccounted is not None and abs(self.unaccounted) > most


def balance(state: RunState, shared: Sequence[SharedBin] = ()) -> MassBalance:
    """The balance of one run; ``shared`` are the bins that other runs fill too."""
    received = {load.id: received_g(state, load.id) for load in state.loads}
    outlets, waiting = _outlets(state, shared)
    left = [(each, *_left_g(each, state)) for each in state.left]
    for each, net_g, _ in left:
        if each.goes.way is Way.OUTLET:
            outlets[each.goes.name] = outlets.get(each.goes.name, 0) + net_g
    trays = packed(state)
    return MassBalance(
        received_g=sum(received.values()),
        carried_in_g=state.loose_g(Way.CARRIED_IN),
        packed_g=trays.measured_g,
        by_label_g=trays.by_label_g,
        outlets=outlets,
        storage_loss_g=sum(storage_loss_g(state, load.id) for load in state.loads),
        samples_g=state.not_returned.net_g,
        carried_out_g=state.loose_g(Way.CARRIED_OUT)
        + state.loose_g(Way.SIZED)
        + sum(net_g for each, net_g, _ in left if each.goes.way is not Way.OUTLET),
        rerun_g=state.loose_g(Way.RERUN),
        provisional=(*waiting, *_only_counted([each for each, _, weighed in left if not weighed])),
    )


def received_g(state: RunState, load_id: int) -> int:
    """What the tipped bins of a consignment weighed when it was received: its net by bins, shared with what other runs
    tipped and what nobody did, so that over all of them not a gram is lost."""
    load = state.load(load_id)
    assert load is not None
    mine = state.tipped.get(load_id, Tipped()).bins
    runs = {**dict(load.elsewhere), state.started.run_id: mine}
    bins: dict[int, int] = {run_id: runs[run_id] for run_id in sorted(runs)}
    bins[0] = max(load.bins - sum(runs.values()), 0)  # run ids begin at 1: these are the bins nobody tipped
    return share_out(load.net_g, bins)[state.started.run_id]


def storage_loss_g(state: RunState, load_id: int) -> int:
    """What the bins weighed again at tipping had lost since they were received; negative where they were wetter."""
    load, tipped = state.load(load_id), state.tipped.get(load_id, Tipped())
    assert load is not None
    return round_half_up(Fraction(load.net_g * tipped.weighed_bins, load.bins)) - tipped.weighed_g


def by_load(whole: MassBalance, state: RunState) -> dict[int, MassBalance]:
    """The balance of a combined run for each of its consignments: received and storage loss are each one's own, all
    else is shared by the rule the run was started with, to the gram. One not tipped has nothing of it."""
    weights = load_weights(state)
    if not sum(weights.values()):
        return {}
    own = {load.id: (received_g(state, load.id), storage_loss_g(state, load.id)) for load in state.loads}
    lines = {name: share_out(getattr(whole, name), weights) for name in _SHARED}
    outlets = {outlet: share_out(net_g, weights) for outlet, net_g in whole.outlets.items()}
    return {
        load_id: MassBalance(
            received_g=received,
            storage_loss_g=loss,
            outlets={outlet: parts[load_id] for outlet, parts in outlets.items()},
            provisional=whole.provisional,
            **{name: parts[load_id] for name, parts in lines.items()},
        )
        for load_id, (received, loss) in own.items()
    }


_SHARED = ("carried_in_g", "packed_g", "by_label_g", "samples_g", "carried_out_g", "rerun_g")


def load_weights(state: RunState) -> dict[int, int]:
    """What a combined run is shared by, by consignment; nothing for one of which nothing was tipped."""
    tipped = {load.id: state.tipped.get(load.id, Tipped()).bins for load in state.loads}
    match state.started.rule:
        case Rule.NET:
            return {load_id: received_g(state, load_id) for load_id in tipped}
        case Rule.BINS:
            return tipped
        case Rule.PARTS:
            return {load.id: load.parts if tipped[load.id] else 0 for load in state.loads}


def _outlets(state: RunState, shared: Sequence[SharedBin]) -> tuple[dict[str, int], list[str]]:
    """What went to each outlet, and which shared bins still have to be weighed."""
    found: dict[str, int] = {}
    waiting = []
    for place, net_g in state.loose.items():
        if place.way is Way.OUTLET:
            found[place.name] = found.get(place.name, 0) + net_g
    for each in shared:
        if each.id not in state.shared_bins:
            continue
        share_g = each.share_of(state.started.run_id)
        if share_g is None:
            waiting.append(
                f"A shared bin for {each.outlet_id} is not weighed yet; it will be shared {each.rule.words}."
            )
        found[each.outlet_id] = found.get(each.outlet_id, 0) + (share_g or 0)
    return found, waiting


def _left_g(left: Left, state: RunState) -> tuple[int, bool]:
    """What was left on the line, and whether it was weighed; where it was only counted, by label weight."""
    if left.net_g is not None:
        return left.net_g, True
    tray = state.tray(left.tray_id)
    assert tray is not None
    return round_half_up(Fraction(left.fruit * tray.label_g, left.count)), False


def _only_counted(left: Sequence[Left]) -> list[str]:
    if not left:
        return []
    fruit = sum(each.fruit for each in left)
    return [f"{fruit} fruit left on the line were counted, not weighed; they stand here by label weight over count."]
