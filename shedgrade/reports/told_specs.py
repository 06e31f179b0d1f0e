"""What is done with specs and their drafts, as the part of a sentence that follows who did it."""

from collections.abc import Sequence
from typing import Any

from shedgrade.reports.told_new import Did
from shedgrade.reports.told_values import Say
from shedgrade.storage.history import Told


def of_spec(told: Told, say: Say) -> Did:
    """One change of a spec or of a draft."""
    if told.noun == "spec draft":
        return _draft(told, say, say.name("spec_draft", told.row_id))
    after, name = told.after, say.name("spec_version", told.row_id)
    if "place" in after:
        return _confirmed(after, say, name)
    if after.get("withdrawn_at"):
        return Did(f"took back the confirmation of {after['value_of']} in {name}")
    if after.get("put_back_at"):
        return Did(f"put {name} back")
    return Did(f"retired {name}" if "retired_at" in after else f"published {name}")


def _confirmed(after: Any, say: Say, name: str) -> Did:
    read = f"read on {say.value('read_on', after['read_on'])} in {after['read_in']}"
    if "carried_from_id" in after:
        first = say.value("carried_from_id", after["carried_from_id"])
        return Did(f"carried over into {name} that {after['value_of']} is confirmed", f"{read}, first for {first}")
    return Did(f"confirmed {after['value_of']} in {name}", read)


def _draft(told: Told, say: Say, name: str) -> Did:
    after = told.after
    if told.deed == "added":
        copied = say.value("based_on_id", after.get("based_on_id"))
        return Did(f"began the draft {after['title']}", f"from {copied}" if copied else "")
    if after.get("published_as_id"):
        return Did(f"published the draft as {say.value('published_as_id', after['published_as_id'])}")
    if "put_aside_at" in after:
        return Did(f"put the draft {name} aside" if after["put_aside_at"] else f"took the draft {name} up again")
    deed = {"undone": "undid a change of", "had again": "had an undone change again in"}.get(
        after.get("how", ""), "changed"
    )
    return Did(f"{deed} the draft {name}", "; ".join(say_change(*each) for each in _main(after.get("changed", ()))))


def _main(changed: Sequence[Sequence[str]]) -> list[Sequence[str]]:
    """Without what goes along with another change: drafts of before told the source of each changed figure too."""
    places = {place for place, _, _ in changed}
    return [each for each in changed if not any(each[0].startswith(f"{place}, ") for place in places if place)]


def say_change(place: str, before: str, after: str) -> str:
    """One difference of two specs: the place, what stood there and what stands there, "" for nothing."""
    if not before:
        return f"{place}: {after}, new"
    return f"{place}: {before}, now {after}" if after else f"{place}: {before}, taken out"
