"""The check-weights of a run's trays against their labels, by the rules that the shed has set for itself."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from shedgrade.domain.run.events import Tray, TrayWeighed
from shedgrade.domain.settings import DRYING, LABEL_RULES, SCALE_STEP, TRAY_OVER
from shedgrade.domain.trays.net_weight.at_scale import ScaleFit, TrayMarks, scale_fit, tray_marks
from shedgrade.domain.trays.net_weight.check import LabelCheck, check_label
from shedgrade.domain.trays.net_weight.label import Label
from shedgrade.domain.trays.net_weight.rule_sets import RULE_SETS
from shedgrade.domain.trays.net_weight.rules import RuleSet
from shedgrade.domain.trays.net_weight.weighed import Drying, WeighedTray, nets_of
from shedgrade.storage import settings
from shedgrade.storage.run_entries import Entry, trays_weighed
from shedgrade.storage.runs import RunWhole


@dataclass(frozen=True, slots=True)
class LabelRules:
    """What the shed checks labels by on a day."""

    rules: RuleSet
    over_g: int
    step_g: int
    drying: Drying

    def marks(self, tray: Tray) -> TrayMarks:
        """From when to when a tray of this type is RIGHT: never short, as a shed wants it of its packers."""
        return tray_marks(Label(tray.label_g), self.over_g, self.rules, never_short=True)


@dataclass(frozen=True, slots=True)
class TrayChecked:
    """A tray type of a run: its check-weights against its label (None: nothing was packed or weighed), and whether the
    scale is fine enough for it."""

    tray: Tray
    weighed: int
    packed: int
    check: LabelCheck | None
    fit: ScaleFit


@dataclass(frozen=True, slots=True)
class RunWeights:
    """A run's check-weights: the entries in order, the tray types, and the rules of the day."""

    entries: tuple[Entry, ...]
    trays: tuple[TrayChecked, ...]
    by: LabelRules


def label_rules(session: Session, day: date) -> LabelRules:
    """The rules as they hold on a day."""
    return LabelRules(
        RULE_SETS[settings.in_force(session, LABEL_RULES, day)],
        settings.in_force(session, TRAY_OVER, day),
        settings.in_force(session, SCALE_STEP, day),
        Drying(tray_g=settings.in_force(session, DRYING, day)),
    )


def weights_of(session: Session, run: RunWhole, today: date) -> RunWeights:
    """What the trays weighed say, tray type by tray type. The lot of a tray type is all that the run packed of it."""
    found, by = trays_weighed(session, run), label_rules(session, today)
    trays = tuple(_checked(run, tray, found, by) for tray in run.state.started.trays)
    return RunWeights(tuple(found), trays, by)


def _checked(run: RunWhole, tray: Tray, found: Sequence[Entry], by: LabelRules) -> TrayChecked:
    packed = sum(tally.trays for cell, tally in run.state.cells.items() if cell.tray_id == tray.id)
    events = [each.event for each in found if isinstance(each.event, TrayWeighed)]
    trays = [WeighedTray(each.gross_g, each.tare_g) for each in events if each.cell.tray_id == tray.id]
    label = Label(tray.label_g)
    # Trays are weighed before they are counted: a lot is at least those.
    lot = max(packed, len(trays))
    check = check_label(nets_of(trays, by.drying), label, lot, by.rules) if trays else None
    return TrayChecked(tray, len(trays), packed, check, scale_fit(label, by.rules, by.step_g))
