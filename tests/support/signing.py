"""People with a password or a PIN, tablets, and a clock that tests move."""

from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from shedgrade.actions.people import add_person
from shedgrade.actions.sign_ins import register_tablet, set_password, set_pin
from shedgrade.domain.people import Role
from shedgrade.storage import hashing
from shedgrade.storage.database import Database
from shedgrade.storage.people import person_whole
from shedgrade.web.clock import Clock
from shedgrade.web.whoami import TABLET_COOKIE
from tests.support.visitor import Visitor

PASSWORD = "three wet mangoes"  # noqa: S105 - nobody has it outside the tests
PIN = "402817"
WRONG_PIN = "913245"
NOON = datetime(2026, 1, 12, 12, tzinfo=UTC)

kept = cache(hashing.hash_of)


def somebody(
    database: Database, name: str, *roles: Role, password: str = "", pin: str = "", grower_id: int | None = None
) -> int:
    """Take a person into the books, with what they prove themselves by."""
    with database.writing() as session:
        person_id = add_person(session, name, frozenset(roles or (Role.GRADER,)), grower_id)
        row = person_whole(session, person_id).row
        if password:
            set_password(session, row, kept(password), person_id, NOON)
        if pin:
            set_pin(session, row, kept(pin), person_id, NOON)
        session.commit()
    return person_id


def tablet(database: Database, by_id: int, name: str = "Bench 1", **settings: object) -> Visitor:
    """A registered tablet on which nobody is signed in."""
    with database.writing() as session:
        opened = register_tablet(session, name, by_id, datetime.now(UTC))
        session.commit()
    browser = Visitor(database, None, **settings)
    browser.client.cookies.set(TABLET_COOKIE, opened.token)
    return browser


class Watch:
    """A clock in a test's hand; sign-ins go by it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = datetime.now(UTC)
        monkeypatch.setattr(Clock, "real_now", lambda _clock: self.now)

    def on(self, **step: float) -> None:
        """Let time pass."""
        self.now += timedelta(**step)


def counted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A list that fills with the hashes that are really worked out: the one each secret was held against."""
    done: list[str] = []
    really = hashing.fits

    def fits(secret: str, kept: str) -> bool:
        done.append(kept)
        return really(secret, kept)

    monkeypatch.setattr(hashing, "fits", fits)
    return done
