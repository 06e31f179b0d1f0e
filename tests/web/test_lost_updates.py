"""Two people with the same form open: the later save overwrites nothing that its sender has not seen."""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

import pytest

from shedgrade.actions.people import add_person
from shedgrade.actions.shared_bins import open_shared_bin
from shedgrade.actions.spec_drafts import change_draft
from shedgrade.domain.people import Role
from shedgrade.domain.run.shares import Rule
from shedgrade.domain.spec import library
from shedgrade.domain.spec.text import read_spec
from shedgrade.storage import spec_drafts
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.tables import Consignment
from shedgrade.web.routes import ROUTERS
from tests.support import season
from tests.support.forms import filled
from tests.support.specs import MARKET
from tests.support.stock import Stock, stock
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, words

PASSWORDS = ("four old words here", "some other four words")
PINS = ("402817", "719305")


class Shed(NamedTuple):
    """A shed in which everything that can be edited is there once."""

    database: Database
    ids: Mapping[str, int]
    first: Visitor
    second: Visitor


class Edited(NamedTuple):
    """Something two people edit: where its form stands and is sent to, the field that each types differently, and how
    the first one's save is told to the second."""

    form: str
    action: str
    field: str
    typed: tuple[str, str]
    stored: str
    mistake: str = ""


EDITED = {
    "grower": Edited("/growers/{grower}", "/growers/{grower}", "contact", ("gate 2", "gate 3"), "Tallow Creek, gate 2"),
    "block": Edited(
        "/blocks/{block}/edit", "/blocks/{block}", "area", ("3", "4.5"), "Ridge 3, Mango, Calypso, 3 ha", mistake="huge"
    ),
    "market": Edited(
        "/markets/{market}/edit",
        "/markets/{market}",
        "name",
        ("Wharf", "Harbour"),
        "Wharf, AUD, Mango, Codex CXS 184, version 1, 7 kg tray",
    ),
    "docket": Edited(
        "/dockets/{docket}/edit", "/dockets/{docket}", "number", ("2042", "3042"), "docket 2042, no truck"
    ),
    "pick": Edited(
        "/consignments/{consignment}/edit",
        "/consignments/{consignment}",
        "team",
        ("Day team", "Night team"),
        "picked ",
    ),
    "person": Edited(
        "/people/{person}", "/people/{person}", "name", ("Sela Ann", "Sela Maro"), "Sela Ann, grader", mistake=" "
    ),
    "prices": Edited(
        "/markets/{market}/prices/new",
        "/markets/{market}/prices",
        "tray-{tray}-Extra-16",
        ("26.00", "27.00"),
        "2 prices from ",
    ),
    "rule": Edited("/settings/idle-minutes/new", "/settings/idle-minutes", "value", ("15", "20"), "15 minutes from"),
}
# No field of these is shown again, or nothing is typed: what was sent the first time is refused all the same.
ENDED = {
    "password": ("/people/{person}/password", "password", PASSWORDS),
    "PIN": ("/people/{person}/pin", "pin", PINS),
    "leaving": ("/people/{person}/leaving", "", ("", "")),
}
DRAFT_ENDED = ("publishing", "putting-aside", "undoing")
COVERED = {
    "/drafts/{draft_id}/parts/{part}",
    "/drafts/{draft_id}/publishing",
    "/drafts/{draft_id}/undoing",
    "/drafts/{draft_id}/redoing",
    "/drafts/{draft_id}/putting-aside",
    "/drafts/{draft_id}/return",
    "/dockets/{docket_id}",
    "/consignments/{consignment_id}",
    "/growers/{grower_id}",
    "/blocks/{block_id}",
    "/markets/{market_id}",
    "/markets/{market_id}/prices",
    "/people/{person_id}",
    "/people/{person_id}/password",
    "/people/{person_id}/pin",
    "/people/{person_id}/leaving",
    "/people/{person_id}/return",
    "/settings/{key}",
    "/quotes/{quote_id}/withdrawal",
    "/shared-bins/{shared_bin_id}/weight",
}


@pytest.fixture
def shed(sqlite_database: Database) -> Shed:
    with sqlite_database.writing() as session:
        stored: Stock = stock(session)
        people = {name: add_person(session, name, frozenset({Role.MANAGER})) for name in ("Ada Thorne", "Bert Moss")}
        ids = {
            "grower": 1,
            "block": 1,
            "market": stored.market,
            "consignment": stored.consignments[0],
            "docket": session.get_one(Consignment, stored.consignments[0]).docket_id,
            "tray": stored.tray,
            "person": season.shed_person(session, "Sela"),
            "bert": people["Bert Moss"],
        }
        session.commit()
    first, second = (Visitor(sqlite_database, person_id) for person_id in people.values())
    return Shed(sqlite_database, ids, first, second)


@pytest.fixture(params=EDITED)
def edited(request: pytest.FixtureRequest, shed: Shed) -> Edited:
    found = EDITED[request.param]
    form, action, name = (each.format(**shed.ids) for each in (found.form, found.action, found.field))
    return found._replace(form=form, action=action, field=name)


def opened(visitor: Visitor, edited: Edited) -> Callable[..., dict[str, str | list[str]]]:
    """Open the form, to be filled in later as it stood then. A rule's source, or why something is put right, has to be
    typed each time."""
    tree = parsed(visitor.get(edited.form))
    besides = {"source": "our own choice"} if "settings" in edited.action else {}
    if edited.action.startswith(("/dockets", "/consignments")):
        besides = {"reason": "misread"}
    return lambda typed: filled(tree, edited.action, **besides, **{edited.field: typed})


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ")


def test_the_second_save_is_told_what_the_first_one_stored_and_may_then_take_its_place(
    shed: Shed, edited: Edited
) -> None:
    forms = [opened(visitor, edited) for visitor in (shed.first, shed.second)]
    assert shed.first.post(edited.action, forms[0](edited.typed[0])).status_code == 303
    answer = shed.second.post(edited.action, forms[1](edited.typed[1]))
    page = parsed(answer)
    assert answer.status_code == 409
    told = plain(words(page, ".notice"))
    assert "Ada Thorne saved this at " in told
    assert f", in a test's browser. Stored now: {edited.stored}" in told
    assert typed_in(page, edited.field) == edited.typed[1]
    beside = one(page, f'[id="f-{edited.field}-stored"]')
    assert edited.typed[0].removesuffix(".00") in plain(beside.get_text())
    assert beside["id"] in str(one(page, f'[id="f-{edited.field}"]')["aria-describedby"]).split()
    assert len(page.select(".stored-beside")) == 1, "what does not differ is not marked"
    again = filled(page, edited.action)
    assert shed.second.post(edited.action, again).status_code == 303
    if edited.field != "value":
        assert typed_in(parsed(shed.first.get(edited.form)), edited.field) == edited.typed[1]


def test_what_the_second_one_typed_is_not_stored_until_then(shed: Shed, edited: Edited) -> None:
    forms = [opened(visitor, edited) for visitor in (shed.first, shed.second)]
    shed.first.post(edited.action, forms[0](edited.typed[0]))
    shed.second.post(edited.action, forms[1](edited.typed[1]))
    where = "/settings" if edited.field == "value" else edited.form
    shown = plain(str(parsed(shed.first.get(where))))
    assert edited.typed[0] in shown
    assert f'value="{edited.typed[1]}"' not in shown


@pytest.mark.parametrize("mistake", ["", "x" * 400])
def test_a_mistake_in_a_field_does_not_make_a_stale_form_fresh(shed: Shed, edited: Edited, mistake: str) -> None:
    if edited.field.startswith(("contact", "tray", "team")) and not mistake:
        mistake = "y" * 300  # these may be left out
    forms = [opened(visitor, edited) for visitor in (shed.first, shed.second)]
    shed.first.post(edited.action, forms[0](edited.typed[0]))
    refused = shed.second.post(edited.action, forms[1](mistake))
    assert refused.status_code == 422
    corrected = filled(parsed(refused), edited.action, **{edited.field: edited.typed[1]})
    assert shed.second.post(edited.action, corrected).status_code == 409


def test_somebody_with_two_windows_open_is_told_it_was_they(shed: Shed, edited: Edited) -> None:
    forms = [opened(shed.first, edited) for _ in range(2)]
    shed.first.post(edited.action, forms[0](edited.typed[0]))
    answer = shed.first.post(edited.action, forms[1](edited.typed[1]))
    assert answer.status_code == 409
    assert "You saved this yourself at " in words(parsed(answer), ".notice")


def test_a_save_of_another_day_is_told_with_its_day(shed: Shed, sqlite_database: Database) -> None:
    shed.first.post("/growers/1", {"name": "Tallow Creek", "contact": "gate 2", "version": "1"})
    today = datetime.now(UTC)
    tomorrow = Visitor(sqlite_database, shed.ids["bert"], clock_shift=timedelta(days=1))
    page = parsed(tomorrow.post("/growers/1", {"name": "Tallow Creek", "contact": "gate 3", "version": "1"}))
    assert f"saved this on {today:%a} {today.day} {today:%b %Y}, " in words(page, ".notice")


@pytest.mark.parametrize("what", ENDED)
def test_of_two_who_do_the_same_at_once_the_second_hears_of_the_first(shed: Shed, what: str) -> None:
    address, field, typed = ENDED[what]
    action, form = (each.format(**shed.ids) for each in (address, address if field else "/people/{person}"))
    pages = [parsed(visitor.get(form)) for visitor in (shed.first, shed.second)]
    sent = [filled(page, action, **({field: text} if field else {})) for page, text in zip(pages, typed, strict=True)]
    assert shed.first.post(action, sent[0]).status_code == 303
    answer = shed.second.post(action, sent[1])
    page = parsed(answer)
    assert answer.status_code == 409
    assert "Ada Thorne saved this at " in words(page, ".notice")
    if field:
        assert "Type it again" in error_at(page, field)
        assert shed.second.post(action, filled(page, action, **{field: typed[1]})).status_code == 303


def test_somebody_taken_back_in_is_not_taken_back_twice(shed: Shed) -> None:
    form, action = (each.format(**shed.ids) for each in ("/people/{person}", "/people/{person}/return"))
    leaving = f"{form}/leaving"
    shed.first.post(leaving, filled(parsed(shed.first.get(form)), leaving))
    sent = [filled(parsed(visitor.get(form)), action) for visitor in (shed.first, shed.second)]
    assert [shed.first.post(action, sent[0]).status_code, shed.second.post(action, sent[1]).status_code] == [303, 409]


def test_a_quote_withdrawn_meanwhile_keeps_its_first_reason(shed: Shed) -> None:
    ids = shed.ids
    offer = {
        "market": str(ids["market"]),
        "tray": str(ids["tray"]),
        "consignment": [str(ids["consignment"])],
        "trays-Extra-16": "10",
        "price-Extra-16": "24",
        "sure-Extra-16": "126",
        "buyer": "Harbour Fruit",
        "basis": "Ex-shed",
        "valid_until": f"{datetime.now(UTC) + timedelta(days=1):%Y-%m-%d}",
    }
    assert shed.first.post("/quotes", offer).status_code == 303
    action = "/quotes/1/withdrawal"
    pages = [parsed(visitor.get("/quotes/1")) for visitor in (shed.first, shed.second)]
    assert shed.first.post(action, filled(pages[0], action, reason="the buyer cancelled")).status_code == 303
    answer = shed.second.post(action, filled(pages[1], action, reason="other fruit"))
    assert answer.status_code == 409
    told = words(parsed(answer))
    assert "Ada Thorne saved this at " in told
    assert "Your reason was not stored." in told
    assert "Withdrawn because: the buyer cancelled" in told


def test_a_shared_bin_weighed_meanwhile_keeps_its_first_weight(shed: Shed) -> None:
    with shed.database.writing() as session:
        act_as(session, Actor(None, "", datetime.now(UTC)))
        row = open_shared_bin(session, "juice", "J1", Rule.NET, shed.ids["bert"], datetime.now(UTC))
        session.commit()
        address = f"/shared-bins/{row.id}"
    action = f"{address}/weight"
    sent = [
        filled(parsed(visitor.get(address)), action, gross=gross, tare="40")
        for visitor, gross in ((shed.first, "400"), (shed.second, "500"))
    ]
    assert shed.first.post(action, sent[0]).status_code == 303
    answer = shed.second.post(action, sent[1])
    assert answer.status_code == 409
    assert "Ada Thorne saved this at " in words(parsed(answer))
    assert "500" in str(one(parsed(answer), "#f-gross")["value"])


def drafted(shed: Shed) -> str:
    """A draft that has been changed once; gives its address."""
    draft = str(shed.first.post("/specs/import", {"text": MARKET}).headers["location"])
    with shed.database.writing() as session:
        act_as(session, Actor(None, "", datetime.now(UTC)))
        found = spec_drafts.draft(session, int(draft.rpartition("/")[2]))
        change_draft(session, found, read_spec(MARKET.replace('"nil"', '"<= 1"'), library.crops()), 1)
        session.commit()
    return draft


@pytest.mark.parametrize("first", DRAFT_ENDED)
@pytest.mark.parametrize("second", DRAFT_ENDED)
def test_a_draft_is_neither_published_nor_left_nor_put_back_unseen(shed: Shed, first: str, second: str) -> None:
    draft = drafted(shed)
    pages = [
        parsed(visitor.get(f"{draft}/publishing" if deed == "publishing" else draft))
        for visitor, deed in ((shed.first, first), (shed.second, second))
    ]
    one, other = f"{draft}/{first}", f"{draft}/{second}"
    assert shed.first.post(one, filled(pages[0], one)).status_code == 303
    answer = shed.second.post(other, filled(pages[1], other))
    told = words(parsed(answer))
    if first == "undoing":
        assert answer.status_code == 409
        assert "Ada Thorne saved this at " in told
        assert "Stored now:" not in told
    else:
        assert answer.status_code == 422
        assert ("was published" if first == "publishing" else "was put aside") in told


def test_a_draft_is_not_taken_up_twice(shed: Shed) -> None:
    draft = drafted(shed)
    shed.first.post(f"{draft}/putting-aside", filled(parsed(shed.first.get(draft)), f"{draft}/putting-aside"))
    sent = [filled(parsed(visitor.get(draft)), f"{draft}/return") for visitor in (shed.first, shed.second)]
    answers = [
        visitor.post(f"{draft}/return", form).status_code
        for visitor, form in zip((shed.first, shed.second), sent, strict=True)
    ]
    assert answers == [303, 409]


def test_every_form_that_carries_a_version_is_tried_here() -> None:
    changing = {path for path, names in _posts() if "version" in names and "{" in path}
    assert changing == COVERED
    in_place = {path for path, _ in _posts() if path.endswith("}")}
    assert in_place <= changing, "a record can be changed by a form that carries no version"


def _posts() -> list[tuple[str, set[str]]]:
    """Every form's address with the names of its fields."""
    routes = [route for router in ROUTERS for route in router.routes]
    found = []
    for route in routes:
        body = (getattr(route, "openapi_extra", None) or {}).get("requestBody", {})
        for kind in body.get("content", {}).values():
            found.append((route.path, set(kind["schema"]["properties"])))  # type: ignore[attr-defined]  # noqa: PERF401
    return found
