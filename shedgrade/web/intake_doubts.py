"""What a person is asked to look at again before a consignment is stored: a bin unlike the others, a load like
another. Each is asked once: the form carries what was shown, as it carries the net."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction

from sqlmodel import Session

from shedgrade.actions.intake import ConsignmentFacts, WeighingFacts
from shedgrade.domain.odd_bins import BinsNet, Odd, odd
from shedgrade.domain.people import Person
from shedgrade.storage import intake
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.tables import Docket
from shedgrade.web.net_panel import NetPanel

_USUAL = timedelta(days=30)
_SAME_TRUCK = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Doubt:
    """One thing to look at again; ``key`` is how the form carries that it was shown."""

    key: str
    sentence: str


def odd_lines(
    session: Session, weighings: Sequence[WeighingFacts], panel: NetPanel, received_at: datetime
) -> dict[int, str]:
    """By the place of its line in the net, how a weighing is unlike the other bins of its type."""
    usual = intake.bins_weighed(session, received_at - _USUAL, received_at)
    nets = [
        BinsNet(facts.bins, Fraction(line.net_g), facts.part)
        for facts, line in zip(weighings, panel.net.groups, strict=True)
    ]
    marks = {}
    for place, (facts, weighed) in enumerate(zip(weighings, nets, strict=True)):
        others = [
            nets[other]
            for other, each in enumerate(weighings)
            if other != place and each.bin_type_id == facts.bin_type_id
        ]
        found = odd(weighed, others, usual.get(facts.bin_type_id, ()))
        if found is not None:
            marks[place] = _odd_words(found, panel.net.groups[place].group.tare.bin_type)
    return marks


def odd_doubt(panel: NetPanel) -> Doubt | None:
    """That weighings of the panel are marked, if any is."""
    if not panel.marks:
        return None
    rows = " and ".join(panel.lines[place].words for place in sorted(panel.marks))
    key = "odd:" + ",".join(f"{place}" for place in sorted(panel.marks))
    are = "is" if len(panel.marks) == 1 else "are"
    return Doubt(key, f"{rows} {are} marked below as unlike the other bins. Save if what was typed is right.")


def like_load(session: Session, person: Person, facts: ConsignmentFacts, docket: Docket | None) -> Doubt | None:
    """That this load looks like one that is in the books: on its own docket, or on another within the hour."""
    if docket is not None:
        on_docket = intake.docket_for(session, person, docket.id or 0).consignments
        for whole in on_docket:
            if _same_weights(whole, facts):
                return _doubt(whole, "has the same block and the same weights")
    since, before = facts.received_at - _SAME_TRUCK, facts.received_at + _SAME_TRUCK + timedelta(seconds=1)
    for whole in intake.consignments_for(session, person, block_id=facts.block_id, since=since, before=before):
        if (docket is None or whole.docket.id != docket.id) and _same_pick(whole, facts):
            return _doubt(whole, "has the same block, the same pick and as many bins, received within an hour of this")
    return None


def _same_weights(whole: ConsignmentWhole, facts: ConsignmentFacts) -> bool:
    stored, typed = (each.gross_g for each in whole.weighings), (each.gross_g for each in facts.weighings)
    return not whole.voided and whole.block.id == facts.block_id and sorted(stored) == sorted(typed)


def _same_pick(whole: ConsignmentWhole, facts: ConsignmentFacts) -> bool:
    row, bins = whole.consignment, sum(each.bins for each in facts.weighings)
    stored = row.picked_from, row.picked_to, len(whole.bins)
    return not whole.voided and stored == (facts.pick.picked_from, facts.pick.picked_to, bins)


def _doubt(whole: ConsignmentWhole, words: str) -> Doubt:
    return Doubt(f"like:{whole.id}", f"{whole.name} {words}. Save again if this is another load.")


def _odd_words(found: Odd, bin_type: str) -> str:
    than = f"the {bin_type} bins of the last 30 days" if found.usual else "the other bins"
    if found.lighter:
        return f"much lighter than {than}: a part bin?"
    return f"much heavier than {than}: a digit too many?"
