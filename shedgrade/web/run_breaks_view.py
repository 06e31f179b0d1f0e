"""The breaks of a run in words: those in force, those on trial with what was promised and what the scale says."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from shedgrade.domain.run.events import Break
from shedgrade.domain.run.state import RunState
from shedgrade.domain.run.trial import TRIAL_TRAYS, Followed, Promise, Trial
from shedgrade.domain.trays.breaks import Breaks
from shedgrade.domain.trays.counts import TrayType
from shedgrade.domain.units import BP, DG_PER_G, THIN, digits, say_mass, say_percent, say_weight
from shedgrade.storage.runs import RunWhole
from shedgrade.web.size_breaks_view import BreaksPart

_MOST_CHANGES = 6


@dataclass(frozen=True, slots=True)
class BreakLine:
    """One count in force: from its break up to under ``under``, which is "" where there is no end."""

    count: int
    lower: str
    under: str


@dataclass(frozen=True, slots=True)
class TrayBreaks:
    """The breaks in force of a tray type."""

    name: str
    label: str
    lines: tuple[BreakLine, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """When breaks came into force, and why; ``why`` "" where nobody said."""

    at: datetime
    stretch: int
    why: str


@dataclass(frozen=True, slots=True)
class TrialView:
    """A trial: the line of figures, promised and found, and what they come to. ``kind`` is how it looks."""

    tray: str
    since: datetime
    stretch: int
    n: int
    of: int
    promised_mean: str
    found_mean: str
    promised_short: str
    found_short: str
    says: str
    kind: str
    is_full: bool


@dataclass(frozen=True, slots=True)
class UseBreaks:
    """What "Use these breaks" sends: what was asked for, and the edges that are on the page."""

    fields: Mapping[str, str]
    breaks: str


@dataclass(frozen=True, slots=True)
class RunBreaksView:
    """The breaks of a run. ``open`` says whether this person can change them still; ``refused`` why the last try was
    not."""

    title: str
    run: RunWhole
    answer: str
    trays: tuple[TrayBreaks, ...]
    changes: tuple[Change, ...]
    trial: TrialView | None
    part: BreaksPart
    use: UseBreaks | None
    open: bool
    refused: str = ""

    @property
    def errors(self) -> Mapping[str, str]:
        """The mistakes of the form."""
        return self.part.errors


def tray_breaks(state: RunState) -> tuple[TrayBreaks, ...]:
    """The breaks in force, tray type by tray type."""
    return tuple(
        TrayBreaks(tray.name, say_mass(tray.label_g), _lines(state.stretch.breaks, tray.id))
        for tray in state.started.trays
    )


def changes(state: RunState) -> tuple[Change, ...]:
    """The last changes of breaks, the latest first; not the start."""
    later = [Change(each.began, each.number, each.why) for each in state.stretches[1:]]
    return tuple(reversed(later))[:_MOST_CHANGES]


def breaks_in_force(state: RunState, tray: TrayType) -> Breaks | None:
    """The breaks in force as the tray's counts have them: a count without a break gets no fruit. None where the counts
    are others, or the biggest of them has no break."""
    held = {each.count: each.from_dg for each in state.stretch.breaks if str(each.tray_id) == tray.id}
    if tray.counts[0] not in held or not set(held) <= set(tray.counts):
        return None
    edges: list[int] = []
    for count in tray.counts:
        edges.append(held.get(count, edges[-1] if edges else 0))
    top = None if tray.heaviest_dg is None else tray.heaviest_dg + 1
    return None if top is not None and edges[0] > top else Breaks(tray.counts, tuple(edges), top)


def breaks_of(tray_id: int, counts: tuple[int, ...], edges_dg: tuple[int, ...], top_dg: int | None) -> list[Break]:
    """Breaks as a run has them: a count that gets no fruit has none."""
    found: list[Break] = []
    before = top_dg
    for count, edge in zip(counts, edges_dg, strict=True):
        if before is None or edge < before:
            found.append(Break(tray_id, count, edge))
        before = edge
    return found


def trial_view(state: RunState, trial: Trial, followed: Followed) -> TrialView:
    """What was promised of the breaks on trial, and what the trays weighed say."""
    tray = state.tray(trial.tray_id)
    kind, says = _comes_to(trial.promise, followed)
    return TrialView(
        tray="" if tray is None else tray.name,
        since=trial.since,
        stretch=trial.stretch,
        n=followed.n,
        of=TRIAL_TRAYS,
        promised_mean=say_mass(followed.label_g + trial.promise.over_g, 3),
        found_mean="none weighed yet" if followed.mean_g is None else say_mass(followed.mean_g, 3),
        promised_short=_promised(trial.promise),
        found_short=f"{followed.short} of {followed.n}",
        says=says,
        kind=kind,
        is_full=followed.is_full,
    )


def answer_of(run: RunWhole, trial: TrialView | None) -> str:
    """The sentence on top."""
    if trial is not None:
        return f"New breaks on trial: {trial.n} of {trial.of} trays weighed"
    if run.state.finished_at is not None:
        return f"The breaks that run {run.id} ended with"
    return f"The breaks that run {run.id} packs by"


def _lines(breaks: tuple[Break, ...], tray_id: int) -> tuple[BreakLine, ...]:
    mine = sorted((each for each in breaks if each.tray_id == tray_id), key=lambda each: each.count)
    unders = ["", *(say_weight(each.from_dg) for each in mine)]
    return tuple(
        BreakLine(each.count, say_weight(each.from_dg), under) for each, under in zip(mine, unders, strict=False)
    )


def _promised(promise: Promise) -> str:
    share = say_percent(Fraction(promise.short_bp, BP), 1)
    if promise.range_bp is None:
        return share
    low, high = (digits(Fraction(each, 100), 1) for each in promise.range_bp)
    return f"{share} ({low} to {high}{THIN}%)"


def _comes_to(promise: Promise, followed: Followed) -> tuple[str, str]:
    if followed.mean_g is None:
        return "open", "Weigh the next 20 trays of this type, each with its check-weight. They settle it."
    if followed.is_shorter_than(promise):
        return "stop", "More trays are short than was promised, and more than chance would bring. Go back, or look why."
    if followed.mean_g < followed.label_g:
        return "watch", "The mean of the trays weighed is under the label."
    if not followed.is_full:
        left = TRIAL_TRAYS - followed.n
        return (
            "open",
            f"So far nothing speaks against them. {left} more {'tray settles' if left == 1 else 'trays settle'} it.",
        )
    return "good", "The trays hold what was promised, as far as 20 trays can tell."


def as_typed(edges_dg: tuple[int, ...]) -> str:
    """Edges as a form carries them, in tenths of a gram."""
    return " ".join(map(str, edges_dg))


def said(edges_dg: tuple[int, ...]) -> str:
    """Edges as people read them."""
    return ", ".join(digits(Fraction(edge, DG_PER_G), 1, trim=True) for edge in edges_dg) + f"{THIN}g"
