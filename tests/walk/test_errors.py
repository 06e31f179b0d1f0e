"""What breaks is told to the person by a reference and to the log in full; no secret is ever told to the log."""

import logging
import re
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from shedgrade.actions.sign_ins import register_tablet, sign_in
from shedgrade.domain.people import Role
from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.storage.hashing import hash_of
from shedgrade.storage.sign_ins import hashed
from shedgrade.storage.tables import PersonRow
from shedgrade.web.app import create_app
from shedgrade.web.routes import growers
from shedgrade.web.whoami import COOKIE, TABLET_COOKIE
from tests.support import season
from tests.support.visitor import ORIGIN, parsed, words

PASSWORD, PIN, NEW_PASSWORD, WRONG = "seven green ladders", "402817", "nine wet tarpaulins", "a guess at something"
TOKEN = "first-start-token"  # noqa: S105 - made up
BROKEN = "the roof came down"


class Keeper:
    """A shed manager with a password and a PIN, at a tablet of the shed; and everything about them that is secret."""

    def __init__(self, database: Database) -> None:
        now = datetime.now(UTC)
        with database.writing() as session:
            self.id = season.shed_person(session, "Maro", Role.MANAGER)
            row = session.get_one(PersonRow, self.id)
            row.password_hash, row.pin_hash = hash_of(PASSWORD), hash_of(PIN)
            tablet = register_tablet(session, "Bench one", self.id, now)
            signed_in = sign_in(session, self.id, "a test's browser", now)
            session.commit()
        self.secrets = [PASSWORD, PIN, NEW_PASSWORD, WRONG, row.password_hash, row.pin_hash]
        for token in (tablet.token, signed_in.token):
            self.secrets += [token, hashed(token)]
        app = create_app(Settings(database=database.url), database, set_up_token=TOKEN)
        self.client = TestClient(app, follow_redirects=False, raise_server_exceptions=False)
        self.client.cookies.set(TABLET_COOKIE, tablet.token)
        self.client.cookies.set(COOKIE, signed_in.token)

    def posts(self, address: str, **typed: str) -> Response:
        """Send a form."""
        answer = self.client.post(address, data=typed, headers={"origin": ORIGIN})
        self.secrets += [value for name, value in answer.cookies.items() if name in {COOKIE, TABLET_COOKIE}]
        return answer

    def told(self, log: pytest.LogCaptureFixture) -> list[str]:
        """The secrets that stand in the log."""
        return [secret for secret in self.secrets if secret in log.text]


@pytest.fixture
def keeper(sqlite_database: Database) -> Keeper:
    return Keeper(sqlite_database)


@pytest.fixture
def everything_logged(caplog: pytest.LogCaptureFixture) -> Iterator[pytest.LogCaptureFixture]:
    """The log at its most talkative."""
    with caplog.at_level(logging.DEBUG):
        yield caplog


def break_the_list(monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: object) -> None:
        raise RuntimeError(BROKEN)

    monkeypatch.setattr("shedgrade.storage.growers.growers_for", breaks)


def test_what_breaks_gives_the_person_a_reference_and_the_log_the_detail(
    keeper: Keeper, everything_logged: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    break_the_list(monkeypatch)
    answer = keeper.client.get("/growers?grower=1")
    assert answer.status_code == 500
    found = re.search(r"the reference ([0-9a-f]{8}) ?\.", words(parsed(answer)))
    assert found, words(parsed(answer))
    assert "Nothing was stored." in words(parsed(answer))
    assert BROKEN not in answer.text
    assert "Traceback" not in answer.text
    (record,) = (each for each in everything_logged.records if found[1] in each.getMessage())
    assert record.levelno == logging.ERROR
    assert record.getMessage() == f"problem {found[1]} at /growers"
    assert f"RuntimeError: {BROKEN}" in everything_logged.text
    assert "routes/growers.py" in everything_logged.text
    assert keeper.told(everything_logged) == []


def test_every_breakage_has_a_reference_of_its_own(keeper: Keeper, monkeypatch: pytest.MonkeyPatch) -> None:
    break_the_list(monkeypatch)
    said = {words(parsed(keeper.client.get("/growers"))) for _ in range(3)}
    assert len(said) == 3


def test_a_broken_page_stores_nothing(
    keeper: Keeper, sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(*_: object) -> None:
        raise RuntimeError(BROKEN)

    monkeypatch.setattr(growers, "done", breaks)
    assert keeper.posts("/growers", name="Tallow Creek").status_code == 500
    monkeypatch.undo()
    assert "Tallow Creek" not in keeper.client.get("/growers").text


def test_signing_in_tells_the_log_no_secret(keeper: Keeper, everything_logged: pytest.LogCaptureFixture) -> None:
    """Right and wrong, by password and by PIN, and every new secret."""
    sent = [
        keeper.posts("/me/password", now=WRONG, new_password=NEW_PASSWORD, again=NEW_PASSWORD),
        keeper.posts("/me/pin", now=PASSWORD, new_pin="not a PIN", again=PIN),
        keeper.posts("/people/1/pin", pin=PIN, version="1"),
        keeper.posts("/people", name="New one", roles="grader", password=NEW_PASSWORD, pin=PIN),
        keeper.posts("/sign-in/pin", person=str(keeper.id), pin="918273"),
        keeper.posts("/sign-in", name="Maro", password=WRONG),
        keeper.posts("/sign-in", name=WRONG, password=PASSWORD),
        keeper.posts("/sign-in/pin", person=str(keeper.id), pin=PIN),
        keeper.posts("/sign-in", name="Maro", password=PASSWORD),
        keeper.posts("/set-up", token=TOKEN, name="x", new_password=NEW_PASSWORD),
        keeper.client.get(f"/set-up?token={TOKEN}"),
    ]
    assert {answer.status_code for answer in sent} <= {303, 404, 422}, [answer.status_code for answer in sent]
    assert sent[7].status_code == sent[8].status_code == 303
    assert keeper.told(everything_logged) == []
    assert [each for each in everything_logged.records if TOKEN in each.getMessage() and each.name != "httpx2"] == []


def test_a_refusal_of_the_database_tells_the_log_no_secret(
    keeper: Keeper, sqlite_database: Database, everything_logged: pytest.LogCaptureFixture
) -> None:
    """What the database says of a row it refused would name the row's values, the hashes among them."""
    with sqlite_database.writing() as session:
        session.connection().exec_driver_sql(
            "CREATE TRIGGER no_one BEFORE INSERT ON sign_in BEGIN SELECT RAISE(ABORT, 'UNIQUE constraint failed'); END"
        )
        session.connection().exec_driver_sql(
            "CREATE TRIGGER no_new BEFORE UPDATE ON person BEGIN SELECT RAISE(ABORT, 'no room'); END"
        )
        session.commit()
    in_the_way = keeper.posts("/sign-in", name="Maro", password=PASSWORD)
    broken = keeper.posts("/me/password", now=PASSWORD, new_password=NEW_PASSWORD, again=NEW_PASSWORD)
    assert in_the_way.status_code == 409
    assert broken.status_code == 500
    assert "no room" in everything_logged.text
    assert "token_sha256" in everything_logged.text  # the statement stands there, its values do not
    assert not re.search(r"argon2id|[0-9a-f]{64}", everything_logged.text)
    assert keeper.told(everything_logged) == []
