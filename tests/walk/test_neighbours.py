"""No grower reads a neighbour's name anywhere: every page they can reach by links is read through for it."""

import re
from collections import Counter
from collections.abc import Iterator
from html import unescape
from urllib.parse import urljoin, urlsplit

import pytest
from bs4 import BeautifulSoup
from httpx2 import Response
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Block, Consignment, Docket, Grower
from tests.walk.records import OTHER, OWN_GROWER, records
from tests.walk.roles_table import rows
from tests.walk.walker import Walker, walker

MOST_OF_A_KIND = 3


def names_of_others(database: Database, grower_id: int) -> set[str]:
    """The names and contacts of every other grower, and the names of their blocks and consignments."""
    with database.reading() as session:
        others = session.exec(select(Grower).where(Grower.id != grower_id)).all()
        blocks = session.exec(select(Block).where(Block.grower_id != grower_id)).all()
        loads = session.exec(
            select(Docket, Consignment).join(Consignment).join(Block).where(Block.grower_id != grower_id)
        ).all()
    named = {text for grower in others for text in (grower.name, grower.contact) if text}
    return named | {block.name for block in blocks} | {f"{docket.number}-{each.line}" for docket, each in loads}


def found_in(text: str, names: set[str]) -> list[str]:
    """Which of the names stand in a text."""
    plain = unescape(text)
    return sorted(name for name in names if re.search(rf"(?<!\w){re.escape(name)}(?!\w)", plain))


def reached(walks: Walker, start: str = "/") -> Iterator[tuple[str, Response]]:
    """What links lead to, each once, whole and as the fragment htmx would get; of a kind of page (each fruit has one)
    the first few."""
    waiting, seen, of_kind = [start], {start}, Counter[str]()
    while waiting:
        address = waiting.pop(0)
        of_kind[kind := re.sub(r"\d+", "1", address)] += 1
        if of_kind[kind] > MOST_OF_A_KIND:
            continue
        answer = walks.opens(address)
        yield address, answer
        yield f"{address} (fragment)", walks.opens(address, **{"hx-request": "true"})
        new = [link for link in links(address, answer) if link not in seen]
        seen.update(new)
        waiting += new


def links(address: str, answer: Response) -> list[str]:
    """Where an answer leads on to, in this app."""
    if "location" in answer.headers:
        return [answer.headers["location"]]
    tree = BeautifulSoup(answer.text, "html.parser")
    hrefs = [urljoin(address, str(link["href"])) for link in tree.select("a[href]")]
    return list(dict.fromkeys(href.partition("#")[0] for href in hrefs if not urlsplit(href).netloc))


@pytest.mark.parametrize("grower_id", [1, 3, *(pytest.param(each, marks=pytest.mark.long) for each in (2, 4, 5, 6))])
def test_no_page_a_grower_reaches_names_a_neighbour(demo_database: Database, grower_id: int) -> None:
    walks = walker(demo_database, Role.GROWER, grower_id=grower_id)
    names = names_of_others(demo_database, grower_id)
    pages = dict(reached(walks))
    told = {address: found for address, answer in pages.items() if (found := found_in(answer.text, names))}
    assert len(pages) > 20
    assert told == {}
    assert {address: answer.status_code for address, answer in pages.items() if answer.status_code >= 400} == {}


def test_nothing_a_grower_is_told_anywhere_names_a_neighbour(demo_database: Database) -> None:
    """Also where no link leads: at every route, with own, another's and missing ids, refusals included."""
    walks = walker(demo_database, Role.GROWER)
    ids = records(demo_database, walks.person_id or 0)
    names = names_of_others(demo_database, OWN_GROWER)
    told = {
        f"{row.route} ({whose})": found
        for row in rows()
        for whose in row.answers["grower"]
        if (found := found_in(walks.asks(row, ids.of(whose)).text, names))
    }
    assert told == {}


def test_who_grows_for_nobody_reaches_nobody_s_fruit(demo_database: Database) -> None:
    """A grower's role without a grower: what would be one's own is not there either."""
    walks = walker(demo_database, Role.GROWER, grower_id=None)
    ids = records(demo_database, walks.person_id or 0)
    fruit = [row for row in rows() if row.answers["grower"].get(OTHER) == "404" and "_id}" in row.route.path]
    own = {str(row.route): walks.asks(row, ids.own).status_code for row in fruit if "sign_in_id" not in row.route.path}
    assert len(own) > 5
    assert set(own.values()) == {404}, own


def test_a_name_is_found_where_it_stands(demo_database: Database) -> None:
    """The search itself: the shed's own list names them all."""
    walks = walker(demo_database, Role.MANAGER)
    names = names_of_others(demo_database, OWN_GROWER)
    assert {"Dunmarrin", "Creek side"} <= set(found_in(walks.opens("/growers").text, names))
