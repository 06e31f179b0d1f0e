"""Somebody who tries every door of the demo season."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from fastapi import FastAPI
from httpx2 import Response

from shedgrade.actions.people import add_person
from shedgrade.demo.start import demo_settings
from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.web.whoami import COOKIE
from tests.support.visitor import Visitor, signed_in
from tests.walk.records import OWN_GROWER, Ids
from tests.walk.roles_table import Row
from tests.walk.routes import filled


class Walker:
    """Their browser: it holds a sign-in of theirs and nothing else at every door, although some doors sign people out.

    Without a person it is nobody's.
    """

    def __init__(self, database: Database, person_id: int | None) -> None:
        self.visitor = Visitor(database, None, clock_shift=demo_settings(database.url).clock_shift)
        self.database, self.person_id = database, person_id
        self._may_be_out = True

    @property
    def app(self) -> FastAPI:
        """The app they walk through."""
        app = self.visitor.client.app
        assert isinstance(app, FastAPI)
        return app

    def asks(self, row: Row, ids: Ids, **headers: str) -> Response:
        """Ask for what the row says, with these ids."""
        address, typed = filled(row.route.path, ids), {name: str(ids[of]) for name, of in row.along.items()}
        if row.route.method == "GET":
            return self.opens(f"{address}?{urlencode(typed)}".rstrip("?"), **headers)
        return self.posts(address, typed, **headers)

    def opens(self, address: str, **headers: str) -> Response:
        """Ask for a page."""
        self.sign_in()
        return self.visitor.get(address, headers=headers)

    def posts(self, address: str, typed: Mapping[str, Any], **headers: str) -> Response:
        """Send a form."""
        self.sign_in()
        answer = self.visitor.post(address, typed, headers=headers)
        self._may_be_out = answer.is_redirect
        return answer

    def sign_in(self, *, anew: bool = False) -> None:
        """Hold a fresh sign-in, if what was last sent may have ended the one that is held."""
        if not (self._may_be_out or anew):
            return
        self.visitor.client.cookies.clear()
        if self.person_id is not None:
            self.visitor.client.cookies.set(COOKIE, signed_in(self.database, self.person_id))
        self._may_be_out = False


def walker(database: Database, *roles: Role, grower_id: int | None = OWN_GROWER) -> Walker:
    """Somebody new with these roles, nobody if there are none; whoever grows speaks for that grower."""
    if not roles:
        return Walker(database, None)
    with database.writing() as session:
        person_id = add_person(session, "Walker", frozenset(roles), grower_id if Role.GROWER in roles else None)
        session.commit()
    return Walker(database, person_id)
