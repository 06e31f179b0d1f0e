"""How a published spec stands: retired and put back, its values confirmed, two versions side by side."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

import pytest

from shedgrade.actions.specs import publish
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.storage.database import Database
from tests.support.forms import filled
from tests.support.stock import stock
from tests.support.visitor import Visitor, error_at, one, parsed, visitor, words

NOW = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)


class Shed(NamedTuple):
    """A shed with a market and a consignment under Codex, another spec, and its manager."""

    database: Database
    codex: int
    other: int
    market: int
    consignment: int
    manager: Visitor


@pytest.fixture
def shed(sqlite_database: Database) -> Shed:
    with sqlite_database.writing() as session:
        stored = stock(session)
        codex = publish(session, library.standards()["mango-codex-cxs184"], NOW).id or 0
        other = publish(session, replace(library.standards()["mango-codex-cxs184"], edition="2005"), NOW).id or 0
        session.commit()
    manager = visitor(sqlite_database, Role.MANAGER)
    return Shed(sqlite_database, codex, other, stored.market, stored.consignments[0], manager)


def plain(text: str) -> str:
    return text.replace("\u202f", " ").replace("\u00a0", " ")


def said(shed: Shed, address: str) -> str:
    return plain(words(parsed(shed.manager.get(address))))


def retire(shed: Shed, reason: str = "a new edition") -> int:
    address = f"/specs/{shed.codex}"
    form = filled(parsed(shed.manager.get(address)), f"{address}/retirement", reason=reason)
    return shed.manager.post(f"{address}/retirement", form).status_code


def offered(shed: Shed, address: str) -> set[str]:
    options = parsed(shed.manager.get(address)).select('[name="spec_version"] option[value]')
    return {str(option["value"]) for option in options} - {""}


def test_a_retired_spec_is_offered_to_no_new_market_and_taken_from_nobody(shed: Shed) -> None:
    assert retire(shed) == 303
    assert str(shed.codex) not in offered(shed, "/markets/new")
    assert str(shed.codex) in offered(shed, f"/markets/{shed.market}/edit")
    new = {"name": "Wharf", "currency": "AUD", "spec_version": str(shed.codex), "tray-1": "1"}
    refused = shed.manager.post("/markets", new)
    assert (refused.status_code, bool(error_at(parsed(refused), "spec_version"))) == (422, True)
    kept = filled(parsed(shed.manager.get(f"/markets/{shed.market}/edit")), f"/markets/{shed.market}", name="Pier")
    assert shed.manager.post(f"/markets/{shed.market}", kept).status_code == 303
    assert shed.manager.get(f"/consignments/{shed.consignment}/packout").status_code == 200
    text = said(shed, f"/specs/{shed.codex}")
    assert "Retired by shed manager" in text
    assert ": a new edition." in text
    assert "version 2" in said(shed, "/specs")
    shed.manager.post(f"/specs/{shed.other}/retirement", {"reason": "too"})
    assert "retired" in said(shed, "/specs")


def test_it_can_be_put_back(shed: Shed) -> None:
    retire(shed)
    address = f"/specs/{shed.codex}"
    form = filled(parsed(shed.manager.get(address)), f"{address}/return")
    assert shed.manager.post(f"{address}/return", form).status_code == 303
    assert str(shed.codex) in offered(shed, "/markets/new")
    told = said(shed, f"{address}/history")
    assert "retired Mango, Codex CXS 184, version 1" in told
    assert "a new edition" in told
    assert "put Mango, Codex CXS 184, version 1 back" in told


def test_retiring_wants_a_reason(shed: Shed) -> None:
    answer = shed.manager.post(f"/specs/{shed.codex}/retirement", {"reason": " "})
    assert answer.status_code == 422
    assert error_at(parsed(answer), "reason") == "Fill this in."


def test_of_two_who_retire_it_the_second_hears_of_the_first(shed: Shed) -> None:
    retire(shed)
    answer = shed.manager.post(f"/specs/{shed.codex}/retirement", {"reason": "another reason"})
    assert answer.status_code == 409
    assert "Your reason was not stored." in words(parsed(answer))
    assert "a new edition" in words(parsed(answer))
    assert shed.manager.post(f"/specs/{shed.other}/return").status_code == 409


def test_a_page_says_who_goes_by_a_version(shed: Shed) -> None:
    text = said(shed, f"/specs/{shed.codex}")
    assert "Markets that go by it: " in text
    assert "came in under it" in text
    assert "No consignment came in under it." in said(shed, f"/specs/{shed.other}")


def confirmed(shed: Shed, *places: str, **typed: str) -> int:
    address = f"/specs/{shed.codex}/confirmations"
    sent = {"value": list(places), "read_on": "2026-01-10", "read_in": "the printed text, section 3"} | typed
    return shed.manager.post(address, sent).status_code


def test_a_confirmed_value_names_its_reader_in_place_of_from_memory(shed: Shed) -> None:
    address = f"/specs/{shed.codex}"
    page = parsed(shed.manager.get(f"{address}/confirmations"))
    values = {str(box["value"]) for box in page.select("[name=value]")}
    assert {"size A", "size B", "size C"} <= values
    assert "section 3 (from memory, confirm against the text)" in said(shed, address)
    assert confirmed(shed, "size A", "size B", "size C") == 303
    text = said(shed, address)
    assert "section 3 (read in the text itself)" in text
    assert "; confirmed by shed manager, read on Sat 10 Jan 2026 in the printed text, section 3" in text
    shed.manager.post(f"/specs/{shed.other}/retirement", {"reason": "a slip"})
    assert "3 confirmed here" in said(shed, "/specs")
    told = said(shed, f"{address}/history")
    assert "confirmed Size A, from 200 g to 350 g in Mango, Codex CXS 184, version 1" in told
    assert "read on Sat 10 Jan 2026 in the printed text, section 3" in told


def test_of_a_table_only_the_confirmed_cell_says_so(shed: Shed) -> None:
    confirmed(shed, "size A")
    cells = [
        plain(" ".join(row.get_text(" ").split()))
        for row in parsed(shed.manager.get(f"/specs/{shed.codex}")).select("tr")
    ]
    (band,) = [cell for cell in cells if cell.startswith("A from 200 g to 350 g")]
    assert "confirmed by shed manager, read on Sat 10 Jan 2026" in band
    assert any(cell == "B from 351 g to 550 g" for cell in cells)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"read_in": ""}, "read_in"),
        ({"read_on": "yesterday"}, "read_on"),
        ({"read_on": f"{datetime.now(UTC) + timedelta(days=3):%Y-%m-%d}"}, "read_on"),
        ({"value": []}, "value"),
    ],
)
def test_a_confirmation_wants_values_day_and_place(shed: Shed, typed: dict[str, str], field: str) -> None:
    sent = {"value": ["size A"], "read_on": "2026-01-10", "read_in": "section 3"} | typed
    answer = shed.manager.post(f"/specs/{shed.codex}/confirmations", sent)
    page = parsed(answer)
    assert answer.status_code == 422
    assert error_at(page, field)
    if field != "value":
        assert one(page, '[name=value][value="size A"][checked]')


def test_a_value_is_confirmed_once_and_can_be_taken_back(shed: Shed) -> None:
    confirmed(shed, "size A")
    assert confirmed(shed, "size A", "size B") == 409
    address = f"/specs/{shed.codex}/confirmations"
    form = filled(parsed(shed.manager.get(address)), "/confirmations/1/withdrawal")
    refused = shed.manager.post("/confirmations/1/withdrawal", form)
    assert (refused.status_code, error_at(parsed(refused), "reason-1")) == (422, "Fill this in.")
    assert shed.manager.post("/confirmations/1/withdrawal", form | {"reason": "another edition"}).status_code == 303
    assert shed.manager.post("/confirmations/1/withdrawal", {"reason": "again"}).status_code == 409
    assert "from memory, confirm against the text" in said(shed, f"/specs/{shed.codex}")
    assert "took back the confirmation of size A" in said(shed, f"/specs/{shed.codex}/history")
    assert confirmed(shed, "size A") == 303


def test_a_page_says_that_a_confirmation_was_stored_or_taken_back(shed: Shed) -> None:
    sent = {"value": ["size A"], "read_on": "2026-01-10", "read_in": "the printed text, section 3"}
    answer = shed.manager.post(f"/specs/{shed.codex}/confirmations", sent)
    assert "Saved. What you ticked is confirmed" in said(shed, answer.headers["location"])
    answer = shed.manager.post("/confirmations/1/withdrawal", {"reason": "another edition"})
    assert "Saved. That value is open again." in said(shed, answer.headers["location"])


def test_two_versions_side_by_side(shed: Shed) -> None:
    address = f"/specs/{shed.codex}/comparison"
    page = parsed(shed.manager.get(address))
    assert words(page, "h1") == "Choose what to compare it with"
    assert one(page, f'main a[href="{address}?with={shed.other}"]')
    page = parsed(shed.manager.get(f"{address}?with={shed.other}"))
    assert words(page, "h1") == "1 thing differs"
    assert plain(words(page, "main tbody")).casefold() == "edition 1993 2005"
    assert words(parsed(shed.manager.get(f"{address}?with={shed.codex}")), "h1") == "Not a figure or word differs"
    assert shed.manager.get(f"{address}?with=999").status_code == 404


def test_a_grower_reads_that_the_shed_did_it_and_nothing_of_drafts(shed: Shed) -> None:
    retire(shed)
    form = filled(parsed(shed.manager.get(f"/specs/{shed.other}/copy")), f"/specs/{shed.other}/drafts", title="Secret")
    assert shed.manager.post(f"/specs/{shed.other}/drafts", form).status_code == 303
    grower = visitor(shed.database, Role.GROWER, grower_id=1)
    shown = words(parsed(grower.get(f"/specs/{shed.codex}")))
    assert "Retired by the shed" in shown
    assert "shed manager" not in shown
    told = words(parsed(grower.get("/specs/history")))
    assert "retired" in told
    assert "Secret" not in told
    assert "Secret" in words(parsed(shed.manager.get("/specs/history")))


def test_who_goes_by_a_version_is_said_in_whole_sentences(shed: Shed) -> None:
    users = one(parsed(shed.manager.get(f"/specs/{shed.codex}")), "p:-soup-contains('Markets that go by it')")
    sentences = users.get_text().strip().split(". ")
    assert len(sentences) == 2
    assert sentences[1].split(" ")[1:] in (
        ["consignment", "came", "in", "under", "it."],
        ["consignments", "came", "in", "under", "it."],
    )
