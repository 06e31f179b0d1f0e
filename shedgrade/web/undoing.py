"""Undo at the bench: of the fruit one measured oneself today. Of any other the bench says who measured it and when."""

from datetime import datetime, timedelta

from shedgrade.domain.people import Person
from shedgrade.storage.bench import MeasuredFruit
from shedgrade.web.clock import Clock
from shedgrade.web.pages import say_moment

NOT_YOURS = "Undo is for fruit that you measured yourself today. Say in your own words why this one does not count."


def may_undo(fruit: MeasuredFruit, person: Person, clock: Clock) -> bool:
    """Whether this person may void it without a reason of their own."""
    return fruit.measured_by_id == person.id and clock.local(fruit.measured_at).date() == clock.today()


def may_undo_as_captured(
    fruit: MeasuredFruit, person: Person, clock: Clock, measured: datetime | None, undone: datetime | None
) -> bool:
    """The same for an undo that was kept on a tablet and comes later: of a fruit they measured on the day that it still
    was, by the tablet's own clock."""
    if measured is None or undone is None or fruit.measured_by_id != person.id:
        return may_undo(fruit, person, clock)
    return clock.local(measured).date() == clock.local(undone).date() or may_undo(fruit, person, clock)


def last_words(fruit: MeasuredFruit, person: Person, clock: Clock) -> str:
    """What is said of the last fruit to whoever may not undo it."""
    return f"Last: fruit {fruit.number}, by {fruit.measured_by.told_to(person)}, {_when(fruit.measured_at, clock)}"


def _when(moment: datetime, clock: Clock) -> str:
    local, today = clock.local(moment), clock.today()
    day = {today: "today", today - timedelta(days=1): "yesterday"}.get(local.date())
    return f"{day} {local:%H:%M}" if day else say_moment(local)
