"""What somebody had typed when they left a page, the tablet locked or their sign-in ended: kept for the same person in
the same browser, and put back into its form when they open its page. Never stored as a record, never sent by itself.

In memory: it is nobody's record, and it is to be gone soon. Starting the program anew forgets it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from threading import Lock

KEPT_FOR = timedelta(hours=12)  # our own choice: a long shift
MOST_LETTERS = 100_000  # of one form; the longest, a load of sixty weighings, has some five thousand
_MOST_KEPT = 200
# What nobody may find in a page again, and what belongs to the form as it was drawn then.
SECRETS = frozenset({"password", "new_password", "pin", "new_pin", "now", "again"})
_NEVER = SECRETS | {"token", "form_key", "entry_key"}

Fields = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class KeptForm:
    """One form: where it would have been sent, its fields as typed, and the page it stands on ("/": none shows it)."""

    action: str
    fields: Fields
    page: str = "/"


@dataclass(frozen=True, slots=True)
class _Kept:
    name: str
    forms: tuple[KeptForm, ...]
    at: datetime
    led_to: bool = False


def worth_keeping(action: str, fields: Iterable[tuple[str, str]]) -> KeptForm | None:
    """The form without passwords and PINs; None where nothing is left of it, or it is too long to be kept."""
    left = tuple((name, value) for name, value in fields if name not in _NEVER)
    typed = any(value.strip() for name, value in left if name != "version")
    letters = sum(len(name) + len(value) for name, value in left)
    return KeptForm(action, left) if typed and letters <= MOST_LETTERS else None


class KeptForms:
    """The forms kept by browser (a token only it holds) and person. Several threads ask at once."""

    def __init__(self) -> None:
        """Nothing is kept yet."""
        self._kept: dict[tuple[str, int], _Kept] = {}
        self._lock = Lock()

    def keep(self, browser: str, person: tuple[int, str], forms: Iterable[KeptForm], now: datetime) -> None:
        """Keep forms of a person, by id and name; of those sent to the same address the last counts.
        The newest stands last."""
        with self._lock:
            self._forget(now)
            before = self._kept.pop((browser, person[0]), None)
            newer = {form.action: form for form in forms}
            older = (form for form in (before.forms if before else ()) if form.action not in newer)
            self._kept[(browser, person[0])] = _Kept(person[1], (*older, *newer.values()), now)
            while len(self._kept) > _MOST_KEPT:
                del self._kept[next(iter(self._kept))]

    def waiting(self, browser: str, now: datetime) -> list[str]:
        """Whose forms wait in this browser, by name."""
        with self._lock:
            self._forget(now)
            return sorted(kept.name for (where, _), kept in self._kept.items() if where == browser)

    def of(self, browser: str, person_id: int, now: datetime) -> tuple[KeptForm, ...]:
        """The forms of one person in one browser."""
        with self._lock:
            self._forget(now)
            kept = self._kept.get((browser, person_id))
            return kept.forms if kept else ()

    def lead_to(self, browser: str, person_id: int, now: datetime) -> str:
        """The page of the newest form of one person in one browser; "/" where none waits, or they were led there since:
        a page that has no place for it any more is not forced on them again and again."""
        with self._lock:
            self._forget(now)
            kept = self._kept.get((browser, person_id))
            if kept is None or kept.led_to:
                return "/"
            self._kept[(browser, person_id)] = replace(kept, led_to=True)
            return kept.forms[-1].page

    def drop(self, browser: str, person_id: int, action: str) -> None:
        """Forget the form that is sent there: it has been put back, or sent."""
        with self._lock:
            kept = self._kept.pop((browser, person_id), None)
            left = tuple(form for form in kept.forms if form.action != action) if kept else ()
            if kept and left:
                self._kept[(browser, person_id)] = replace(kept, forms=left)

    def _forget(self, now: datetime) -> None:
        self._kept = {key: kept for key, kept in self._kept.items() if now - kept.at <= KEPT_FOR}
