"""What a tablet kept and sends later: fruit as typed, and what is to be voided. Read from JSON that anybody may have
written: what is no entry is left without a key, and is refused by itself."""

import json
import re
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from shedgrade.web.ids import row_id
from shedgrade.web.posted import Posted, storable

MOST_ENTRIES = 200
_MOST_FIELDS = 200
_LONGEST_TEXT = 500
_LONGEST_REASON = 200
_KEY = re.compile(r"[A-Za-z0-9_-]{16,64}")


class NoEntriesError(ValueError):
    """What came is no list of entries; the text says what is wrong with it."""


@dataclass(frozen=True, slots=True)
class SentEntry:
    """One entry: its own id, the sample it is of with what tells that from another of the same id, who captured it and
    when by the tablet's clock. A fruit has its ``fields`` as typed; a voiding has the id of the fruit it ``voids`` and
    its ``reason``. ``wrong`` is why it cannot be read, "" for a good one."""

    key: str
    sample_id: int = 0
    sample_mark: str = ""
    person_id: int = 0
    person_name: str = ""
    captured_at: datetime | None = None
    fields: Posted = field(default_factory=Posted)
    voids: str = ""
    reason: str = ""
    wrong: str = ""


def is_key(text: str) -> bool:
    """Whether it can be the id of an entry."""
    return _KEY.fullmatch(text) is not None


def read_entries(text: str, most: int = MOST_ENTRIES) -> list[SentEntry]:
    """The entries in the order they were sent; NoEntriesError."""
    try:
        sent = json.loads(text)
    except (ValueError, RecursionError) as mistake:
        raise NoEntriesError(
            "The entries arrived broken. They are still on the tablet; it sends them again."
        ) from mistake
    return entries_in(sent, most)


def entries_in(sent: Any, most: int = MOST_ENTRIES) -> list[SentEntry]:
    """The same out of JSON that is read already."""
    if not isinstance(sent, list):
        raise NoEntriesError("A list of entries is wanted.")
    if len(sent) > most:
        raise NoEntriesError(f"{len(sent)} entries came at once; at most {most} are accepted.")
    return [_entry(each) for each in sent]


def _entry(sent: Any) -> SentEntry:
    if not isinstance(sent, dict) or not is_key(_text(sent, "key")):
        return SentEntry("", wrong="This entry has no id of its own.")
    key, reason = _text(sent, "key"), " ".join(_text(sent, "reason").split())
    entry = SentEntry(
        key=key,
        sample_id=row_id(_text(sent, "sample")),
        sample_mark=_text(sent, "mark"),
        person_id=row_id(_text(sent, "person")),
        person_name=_text(sent, "name"),
        captured_at=_moment(_text(sent, "at")),
        voids=_text(sent, "voids"),
        reason=reason,
    )
    if entry.voids:
        return replace(entry, wrong=_wrong_voiding(entry))
    fields = _fields(sent.get("fields"))
    return (
        replace(entry, wrong="The fields of this fruit cannot be read.")
        if fields is None
        else replace(entry, fields=fields)
    )


def _wrong_voiding(entry: SentEntry) -> str:
    if not is_key(entry.voids):
        return "This names no fruit."
    if not entry.reason:
        return "Say why the fruit does not count."
    if len(entry.reason) > _LONGEST_REASON:
        return f"The reason is {len(entry.reason)} letters long; at most {_LONGEST_REASON} fit."
    return ""


def _fields(sent: Any) -> Posted | None:
    if not isinstance(sent, list) or len(sent) > _MOST_FIELDS:
        return None
    pairs = [tuple(each) for each in sent if isinstance(each, list) and len(each) == len(("name", "value"))]
    if len(pairs) != len(sent) or not all(_is_text(each) for pair in pairs for each in pair):
        return None
    return Posted(tuple((storable(name), storable(value)) for name, value in pairs))


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= _LONGEST_TEXT


def _text(sent: dict[str, Any], name: str) -> str:
    value = sent.get(name, "")
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value) if abs(value) < 10**12 else ""
    return storable(value) if isinstance(value, str) and len(value) <= _LONGEST_TEXT else ""


def _moment(text: str) -> datetime | None:
    """A moment of the tablet's clock; None where that told no time that can be kept."""
    try:
        moment = datetime.fromisoformat(text)
        return None if moment.tzinfo is None else moment.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def shifted(moment: datetime | None, shift: timedelta) -> datetime | None:
    """A moment of the real clock as the shed's own tells it; None where that has no such time."""
    try:
        return None if moment is None else moment + shift
    except OverflowError:
        return None
