"""What a draft's page says of the change that can be undone, and of the one that can be had again."""

from fastapi import Request
from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.domain.spec.comparing import Change, compare
from shedgrade.reports.told_specs import say_change
from shedgrade.storage.history import changes_of
from shedgrade.storage.spec_drafts import DraftWhole
from shedgrade.storage.specs import read_stored
from shedgrade.web.pages import say_moment
from shedgrade.web.state import the_shed

_MOST_SAID = 3


def last_step(request: Request, session: Session, person: Person, found: DraftWhole) -> str:
    """The change that can be undone: whose it was, when, and what it changed; "" where nothing is left to undo."""
    if found.undone is None or not found.is_open:
        return ""
    at = found.texts[-1].text_of
    told = next((each for each in changes_of(session, _of(found)) if each.after.get("at_version") == at), None)
    clock = the_shed(request).clock
    who = "" if told is None else f", by {told.doer.told_to(person)}, {say_moment(clock.local(told.at))}"
    changes = list(compare(read_stored(found.undone.content), found.spec))
    said = [say_change(each.place, each.before, each.after) for each in _without_names_after_classes(changes)]
    return f"Last change{who}: {_listed(said, '; ')}{_names_after_classes(changes)}."


def undone_step(found: DraftWhole) -> str:
    """What was undone and can be had again; "" for nothing."""
    if found.redone is None or not found.is_open:
        return ""
    changes = compare(found.spec, read_stored(found.redone.content))
    return f"Undone: {_listed([each.place for each in changes], '; ')}."


def _of(found: DraftWhole) -> list[tuple[str, int]]:
    return [("spec draft", found.id)]


def _names_after_classes(changes: list[Change]) -> str:
    """How many sets and tolerances are called anew because a class is; "" for none."""
    count = len(changes) - len(_without_names_after_classes(changes))
    return f"; {count} {'name' if count == 1 else 'names'} of sets and tolerances changed with it" if count else ""


def _without_names_after_classes(changes: list[Change]) -> list[Change]:
    classes = [each for each in changes if each.place.startswith("class ") and each.place.endswith(", name")]
    return [each for each in changes if not any(_is_name_after(each, of) for of in classes)]


def _is_name_after(change: Change, of: Change) -> bool:
    named = change.place.startswith(("set ", "tolerance ")) and change.place.endswith(", name")
    return named and of.before in change.before and of.after in change.after


def _listed(words: list[str], between: str) -> str:
    more = len(words) - _MOST_SAID
    return between.join([*words[:_MOST_SAID], *([f"and {more} more"] if more > 0 else [])])
