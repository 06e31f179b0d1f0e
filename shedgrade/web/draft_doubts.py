"""What a draft hardly means as it says it, with the way to the form where it is changed."""

from dataclasses import dataclass

from shedgrade.domain.people import Deed, Person
from shedgrade.domain.spec.doubts import About, Doubt, doubts
from shedgrade.storage.spec_drafts import DraftWhole
from shedgrade.web.draft_fields import limit_part


@dataclass(frozen=True, slots=True)
class DoubtLine:
    """A sentence; the words and the address of the way to change it, "" for whoever may not."""

    says: str
    label: str
    href: str


def doubt_lines(found: DraftWhole, person: Person) -> list[DoubtLine]:
    """Every doubt about a draft."""
    may_change = found.is_open and person.may(Deed.KEEP_SPECS)
    return [DoubtLine(each.says, *(_way(found, each) if may_change else ("", ""))) for each in doubts(found.spec)]


def _way(found: DraftWhole, doubt: Doubt) -> tuple[str, str]:
    forms = f"/drafts/{found.id}/parts"
    if doubt.about is not About.LIMIT:
        return f"Change the {doubt.about}", f"{forms}/{doubt.about}"
    name = found.spec.limit(doubt.limit_id).name
    return f"Change the limit of {name}", f"{forms}/{limit_part(doubt.limit_id)}#f-rows"
