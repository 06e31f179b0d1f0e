"""Days and moments as forms and files write them (ISO 8601), local to the shed."""

import datetime as dt
import re

from shedgrade.domain.entry.errors import EntryError, shown

_DAY = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MOMENT = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{2}:[0-9]{2}(:[0-9]{2})?")


def date(text: str) -> dt.date:
    """A day written yyyy-mm-dd; EntryError."""
    accepted = "a day such as 2026-01-12 is accepted"
    day = _matching(_DAY, text, "is no day written year-month-day", accepted)
    try:
        return dt.date.fromisoformat(day)
    except ValueError:
        raise EntryError(f"{shown(text)} is not in the calendar", accepted) from None


def moment(text: str) -> dt.datetime:
    """A day and time of day written yyyy-mm-ddThh:mm, seconds allowed; without a zone: it is the shed's own time."""
    accepted = "a day and time such as 2026-01-12T06:30 is accepted"
    written = _matching(_MOMENT, text, "is no day with a time of day", accepted)
    try:
        return dt.datetime.fromisoformat(written)
    except ValueError:
        raise EntryError(f"{shown(text)} is not in the calendar or on the clock", accepted) from None


def _matching(pattern: re.Pattern[str], text: str, wrong: str, accepted: str) -> str:
    written = text.strip()
    if not written:
        raise EntryError("Nothing was typed", accepted)
    if not pattern.fullmatch(written):
        raise EntryError(f"{shown(text)} {wrong}", accepted)
    return written
