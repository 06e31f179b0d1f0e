"""A run's mass balance in words: every line with its source."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from shedgrade.domain.run.against_sample import Against, Verdict, against
from shedgrade.domain.run.balance import MassBalance
from shedgrade.domain.run.events import Way
from shedgrade.domain.run.packed import Known, Packed
from shedgrade.domain.run.state import RunState
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import digits, say_mass, say_percent
from shedgrade.reports.run_balance import RunBalance
from shedgrade.reports.run_forecast import Forecast
from shedgrade.storage.runs import RunWhole
from shedgrade.web.ranges import small_share
from shedgrade.web.run_page import KINDS


@dataclass(frozen=True, slots=True)
class BalanceLine:
    """One line: what it is, its kilograms by measured tray weight and by label, its share of what went in, and how it
    is known."""

    word: str
    kg: str
    by_label: str
    share: str
    source: str
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Compared:
    """Pack-out by the trays beside pack-out by the sample, and what can be said of the difference."""

    by_trays: str
    by_label: str
    by_sample: str
    sample_base: str
    sentence: str
    kind: str


@dataclass(frozen=True, slots=True)
class LoadBalance:
    """The balance of one consignment of a combined run."""

    name: str
    lines: tuple[BalanceLine, ...]


@dataclass(frozen=True, slots=True)
class BalanceView:
    """The page."""

    title: str
    run: RunWhole
    answer: str
    lead: str
    lines: tuple[BalanceLine, ...]
    provisional: tuple[str, ...]
    alarm: str
    causes: tuple[str, ...]
    most: str
    giveaway: str
    rerun: str
    compared: Compared | None
    not_compared: str
    parts: tuple[LoadBalance, ...]
    rule: str


def balance_view(run: RunWhole, found: RunBalance, forecast: Forecast, spec: Spec) -> BalanceView:
    """What the page says."""
    whole, state = found.whole, run.state
    outlets = {each.id: each.name for each in spec.outlets}
    provisional = found.whole.provisional
    if state.finished_at is None:
        provisional = ("The run is still open: fruit on the line is not packed yet.", *provisional)
    compared = _compared(found, forecast)
    return BalanceView(
        title=f"Mass balance: {KINDS[state.started.kind]} {' and '.join(load.name for load in state.loads)}",
        run=run,
        answer=_answer(whole),
        lead=_lead(whole),
        lines=_lines(whole, outlets, state, found.packed),
        provisional=provisional,
        alarm=_alarm(found),
        causes=found.causes,
        most=say_percent(found.most, 1, trim=True),
        giveaway=_giveaway(found.packed),
        rerun=_rerun(whole),
        compared=compared,
        not_compared="" if compared else _why_not(forecast, whole),
        parts=tuple(
            LoadBalance(load.name, _lines(found.parts[load.id], outlets, state, None))
            for load in state.loads
            if len(state.loads) > 1 and load.id in found.parts
        ),
        rule=state.started.rule.words,
    )


def _answer(whole: MassBalance) -> str:
    share = whole.unaccounted
    if share is None:
        return "Nothing was tipped yet"
    if whole.unaccounted_g < 0:
        return f"{say_mass(-whole.unaccounted_g)} more came out than went in ({say_percent(-share, 1)})"
    return f"{say_mass(whole.unaccounted_g)} of {say_mass(whole.in_g)} is unaccounted for ({say_percent(share, 1)})"


def _lead(whole: MassBalance) -> str:
    share = whole.unaccounted_by_label
    if share is None or whole.by_label_g == whole.packed_g:
        return ""
    return (
        f"By what the labels say it would look like {say_mass(whole.unaccounted_by_label_g)} ({say_percent(share, 1)})"
        ": trays carry more than their label."
    )


def _alarm(found: RunBalance) -> str:
    if not found.causes:
        return ""
    return f"More than {say_percent(found.most, 1, trim=True)} is unaccounted for. Look at these first:"


def _lines(
    whole: MassBalance, outlets: Mapping[str, str], state: RunState, trays: Packed | None
) -> tuple[BalanceLine, ...]:
    """Every line; ``trays`` None: of one consignment of several, whose trays were shared out."""
    weighed_again = any(each.weighed_bins for each in state.tipped.values())

    def line(word: str, grams: int, source: str, label_g: int | None = None, kind: str = "") -> BalanceLine:
        by_label = grams if label_g is None else label_g
        share = say_percent(Fraction(grams, whole.in_g), 1) if whole.in_g else ""
        return BalanceLine(word, say_mass(grams, 1, trim=True), say_mass(by_label, 1, trim=True), share, source, kind)

    return (
        line("Received, of the bins tipped", whole.received_g, "weighed when it came in", kind="in"),
        line("Carried in from the run before", whole.carried_in_g, _weighed(whole.carried_in_g), kind="in"),
        line("Packed into trays", whole.packed_g, _tray_source(trays), whole.by_label_g),
        *(
            line(outlets.get(outlet, outlet), grams, _outlet_source(outlet, state))
            for outlet, grams in whole.outlets.items()
        ),
        line(
            "Lost in storage",
            whole.storage_loss_g,
            "bins weighed again at tipping" if weighed_again else "no bin was weighed again: taken as none",
        ),
        line("Samples not put back", whole.samples_g, _weighed(whole.samples_g)),
        line("Carried out to the next run", whole.carried_out_g, _carried_source(whole, state)),
        line("Unaccounted for", whole.unaccounted_g, "what is left over", whole.unaccounted_by_label_g, kind="total"),
    )


def _weighed(grams: int) -> str:
    return "weighed" if grams else "none entered"


def _tray_source(trays: Packed | None) -> str:
    if trays is None:
        return "shared out by the run's rule"
    if not trays.trays:
        return "none packed"
    of = f"{digits(trays.weighed)} of {digits(trays.trays)} trays weighed"
    if trays.known is Known.LABEL:
        return "by label: no tray was weighed"
    if trays.known is Known.WEIGHED:
        return f"weighed: {of}"
    if trays.trays_by_label:
        of += f"; {digits(trays.trays_by_label)} by label, none like them was weighed"
    estimate = trays.estimate
    if estimate is None or estimate.low is None or estimate.high is None:
        return f"estimated: {of}"
    return f"estimated, {digits(estimate.low / 1000)} to {say_mass(estimate.high)}: {of}"


def _outlet_source(outlet: str, state: RunState) -> str:
    own = any(place.way is Way.OUTLET and place.name == outlet for place in state.loose)
    left = any(each.goes.way is Way.OUTLET and each.goes.name == outlet for each in state.left)
    if own or left:
        return "weighed" if not state.shared_bins else "weighed, with the share of bins filled by several runs"
    return "share of a bin filled by several runs"


def _carried_source(whole: MassBalance, state: RunState) -> str:
    if any(each.net_g is None for each in state.left):
        return "partly counted, by label weight over count"
    return _weighed(whole.carried_out_g)


def _rerun(whole: MassBalance) -> str:
    if not whole.rerun_g:
        return ""
    return f"{say_mass(whole.rerun_g, 1, trim=True)} was put through again. It stands on neither side."


def _giveaway(trays: Packed) -> str:
    if trays.giveaway is None or trays.giveaway_g is None:
        return ""
    return (
        f"The trays carry {say_mass(trays.giveaway_g, 1, trim=True)} over their labels, "
        f"{say_percent(trays.giveaway, 1)} of what these say."
    )


def _compared(found: RunBalance, forecast: Forecast) -> Compared | None:
    by_trays, by_label, by_sample = found.whole.pack_out, found.whole.pack_out_by_label, forecast.pack_out
    if by_trays is None or by_label is None or by_sample is None:
        return None
    weights = found.packed.estimate
    off = Fraction(0)
    if weights is not None and weights.low is not None and weights.high is not None:
        off = (weights.high - weights.low) / 2 / found.whole.received_g
    held = against(by_trays, off, by_sample)
    bins = "1 bin" if by_sample.n_draws == 1 else f"{digits(by_sample.n_draws)} bins"
    return Compared(
        by_trays=say_percent(by_trays, 1),
        by_label=say_percent(by_label, 1),
        by_sample=small_share(by_sample).both,
        sample_base=f"{digits(by_sample.n_fruit)} fruit from {bins}",
        sentence=_difference(held),
        kind="watch" if held.verdict is Verdict.MORE else "good" if held.verdict is Verdict.CHANCE else "open",
    )


def _difference(held: Against) -> str:
    points = digits(abs(held.difference) * 100, 1)
    way = "more" if held.difference > 0 else "less"
    lead = f"The trays show {points} points {way} than the sample."
    if held.reach is None:
        return f"{lead} The sample has no range, so nobody can tell whether that is chance."
    reach = digits(held.reach * 100, 1)
    if held.verdict is Verdict.CHANCE:
        return f"{lead} Which fruit were drawn explains up to {reach} points, so there is nothing to look for."
    return (
        f"{lead} Which fruit were drawn explains {reach} points at most: this is more than chance. "
        "Look at how the table grades, and at what is still on the line."
    )


def _why_not(forecast: Forecast, whole: MassBalance) -> str:
    if whole.pack_out is None:
        return "Nothing was tipped yet."
    return (
        f"No sample was taken of {' and '.join(forecast.missing)} when it came in, so there is nothing to compare with."
    )
