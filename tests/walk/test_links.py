"""No page offers what its reader is refused: every link and form of every page a role can reach is followed."""

import re
from collections import Counter
from collections.abc import Callable, Iterator
from urllib.parse import urljoin, urlsplit

import pytest
from bs4 import BeautifulSoup, Tag
from sqlmodel import Session

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.visitor import parsed
from tests.walk.roles_table import WHO
from tests.walk.routes import every_route
from tests.walk.walker import Walker, walker

REFUSED = {403, 404, 405}
# Of pages of one kind that offer the same kind of thing, so many are followed; the demo season has hundreds.
EACH_KIND = 3
LEADING = {"href": "GET", "hx-get": "GET", "hx-post": "POST", "formaction": "POST"}


class Tour:
    """One role's way through the shed, from the first page along everything that is offered."""

    def __init__(self, walks: Walker) -> None:
        self.walks, self.wrong = walks, list[str]()
        self.opened, self.sent = set[str](), dict[tuple[str, str], tuple[str, dict[str, str]]]()
        self._to_open, self._kinds = ["/"], Counter[tuple[str, str]]()

    def go(self) -> None:
        """Open every page, then send every form: what a form does must not change the pages on the way."""
        while self._to_open:
            self._open(self._to_open.pop(0))
        for (action, _), (page, typed) in self.sent.items():
            status = self.walks.posts(action, typed).status_code
            self._judge(page, "POST", action, status)

    def _open(self, address: str) -> None:
        self.opened.add(address)
        answer = self.walks.opens(address)
        while answer.is_redirect:
            address = answer.headers["location"]
            answer = self.walks.opens(address)
        if answer.headers["content-type"].startswith("text/html"):
            self._read(address, parsed(answer))

    def _read(self, page: str, tree: BeautifulSoup) -> None:
        for method, address, typed in _offers(tree, page):
            if method == "POST":
                self.sent.setdefault((address, "&".join(sorted(typed))), (page, typed))
                continue
            self._kinds[_kind(page), _kind(address)] += 1
            if address in self.opened or self._kinds[_kind(page), _kind(address)] > EACH_KIND:
                continue
            self._judge(page, "GET", address, self.walks.opens(address).status_code)
            if address not in self._to_open:
                self._to_open.append(address)

    def _judge(self, page: str, method: str, address: str, status: int) -> None:
        if status in REFUSED:
            self.wrong.append(f"{page} offers {method} {address}, which answers {status}")


def _offers(tree: BeautifulSoup, page: str) -> Iterator[tuple[str, str, dict[str, str]]]:
    """Method, address and hidden fields of everything on the page that leads somewhere in the shed."""
    for name, method in LEADING.items():
        for element in tree.select(f"[{name}]"):
            address = _here(page, str(element[name]))
            if element.name != "link" and address:
                yield (
                    method if element.get("formmethod") != "get" else "GET",
                    address,
                    _held(element.find_parent("form")),
                )
    for form in tree.select("form"):
        address = _here(page, str(form.get("action", page)))
        method = str(form.get("method", "get")).upper()
        yield method, address, _held(form) if method == "POST" else {}


def _held(form: Tag | None) -> dict[str, str]:
    """What is sent by whoever types nothing; without the form's key, so that nothing counts as sent twice."""
    held = form.select('input[type="hidden"][name]') if form else []
    return {str(field["name"]): str(field.get("value", "")) for field in held if field["name"] != "form_key"}


def _here(page: str, href: str) -> str:
    """The address in the shed, without its fragment; "" for what is not asked of the shed."""
    address = urlsplit(urljoin(f"http://shed{page}", href))
    if address.netloc != "shed" or address.path.startswith("/static/"):
        return ""
    return f"{address.path}?{address.query}".rstrip("?")


# What stands for one of many: an id, a rule of the shed, a part of a draft, a paper.
_NAMED = re.compile(r"/[0-9]+|(?<=^/settings)/[a-z-]+(?=/new)|(?<=/parts)/[a-z-]+$|(?<=^/area-card)/[a-z0-9]+$")


def _kind(address: str) -> str:
    """Ids taken out: all consignments are of one kind."""
    path, _, query = address.partition("?")
    named = "&".join(sorted(part.split("=")[0] for part in query.split("&"))) if query else ""
    return f"{_NAMED.sub('/{}', path)}?{named}"


ROLES = {who: roles for who, roles in WHO.items() if roles}
# What nothing leads a signed-in manager to: a grower's own page, a tablet's, the one of a shed without people, those
# of a shed that serves by https itself, and what a bench asks for by itself.
NOT_THE_MANAGERS = {
    "/blocks",
    "/sign-in",
    "/set-up",
    "/authority",
    "/authority.crt",
    "/scales/here",
    "/service-worker.js",
    "/bench-parts",
    "/fruit-entries",
    "/samples/{}/side",
    "/samples/{}/rules",
}


@pytest.mark.parametrize("who", ROLES)
def test_nothing_is_offered_in_the_demo_season_that_is_refused(demo_database: Database, who: str) -> None:
    tour = Tour(walker(demo_database, *ROLES[who]))
    tour.go()
    assert tour.wrong == []
    assert tour.sent
    if who == "manager":
        pages = {re.sub(r"\{[a-z_]+\}", "{}", route.path) for route in every_route() if route.method == "GET"}
        assert pages - {_kind(address).split("?")[0] for address in tour.opened} == NOT_THE_MANAGERS


def nothing(_session: Session) -> None:
    """Nobody set anything up."""


def a_block(session: Session) -> None:
    season.block(session, season.grower(session))


def a_market(session: Session) -> None:
    a_block(session)
    season.market(session, season.spec_version(session))


@pytest.mark.parametrize("there", [nothing, a_block, a_market])
@pytest.mark.parametrize("who", ROLES)
def test_nothing_is_offered_in_a_new_shed_that_is_refused(
    sqlite_database: Database, who: str, there: Callable[[Session], None]
) -> None:
    with sqlite_database.writing() as session:
        there(session)
        if Role.GROWER in ROLES[who] and there is nothing:
            season.grower(session)
        session.commit()
    tour = Tour(walker(sqlite_database, *ROLES[who]))
    tour.go()
    assert tour.wrong == []
    assert tour.sent
