"""Quotes: what is offered and promised, what is kept and held, what is refused. The figures are those of stock.py."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Quote, QuoteHold, QuoteLine
from tests.support import season
from tests.support.stock import TODAY, Stock, looked_at, stock
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words
from tests.support.worked import draw_all

NOON = datetime.combine(TODAY, datetime.min.time(), UTC) + timedelta(hours=12)


def someone(database: Database, role: Role) -> Visitor:
    """Somebody in the shed on the day after the fruit came in."""
    return visitor(database, role, clock_shift=NOON - datetime.now(UTC))


@pytest.fixture
def marketer(sqlite_database: Database) -> Visitor:
    return someone(sqlite_database, Role.MARKETER)


@pytest.fixture
def stored(sqlite_database: Database) -> Stock:
    with sqlite_database.writing() as session:
        stored = stock(session, consignments=2)
        session.commit()
    return stored


def sheet_of(stored: Stock) -> str:
    chosen = "".join(f"&consignment={each}" for each in stored.consignments)
    return f"/quotes/new?market={stored.market}{chosen}"


def typed(stored: Stock, **changes: Any) -> dict[str, Any]:
    """A good form: 100 of the Extra 16s at the list's price, out of both consignments."""
    fields = {
        "market": str(stored.market),
        "tray": str(stored.tray),
        "consignment": [str(each) for each in stored.consignments],
        "trays-Extra-16": "100",
        "price-Extra-16": "24",
        "sure-Extra-16": "264",
        "buyer": "Harbour Fruit",
        "basis": "Delivered, city market",
        "valid_until": f"{TODAY:%Y-%m-%d}",
        "note": "Ripe on arrival.",
    }
    return fields | {
        name.replace("_16", "-Extra-16").replace("_18", "-Extra-18"): each for name, each in changes.items()
    }


def save(marketer: Visitor, stored: Stock, **changes: Any) -> int:
    """Save a quote, again where it comes back for a second look."""
    fields = typed(stored, **changes)
    answer = marketer.post("/quotes", fields)
    if answer.status_code == 409:
        seen = parsed(answer).select('[name^="seen-"]')
        answer = marketer.post("/quotes", fields | {str(each["name"]): str(each["value"]) for each in seen})
    return answer.status_code


def kept(database: Database) -> list[Quote]:
    with database.reading() as session:
        return list(session.exec(select(Quote)))


def lines(database: Database) -> list[QuoteLine]:
    with database.reading() as session:
        return list(session.exec(select(QuoteLine)))


def row_words(page: Any, count: int) -> str:
    """The line of the Extras of a count, on the form."""
    field = one(page, f'[name="trays-Extra-{count}"]')
    row = field.find_parent("tr")
    assert row is not None
    return " ".join(row.get_text(" ").split())


def test_empty_list_teaches_and_offers_the_first_step(marketer: Visitor) -> None:
    assert one(parsed(marketer.get("/quotes")), ".empty a.act")["href"] == "/quotes/new"


def test_first_the_market_is_chosen_then_its_consignments(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    with sqlite_database.writing() as session:
        block_id = season.block(session, season.grower(session, "Second"), "Far paddock")
        season.consignment(session, block_id, stored.market, number="1050")
        session.commit()
    first = parsed(marketer.get("/quotes/new"))
    assert f"/quotes/new?market={stored.market}" in {link["href"] for link in first.select("main a")}
    page = parsed(marketer.get(f"/quotes/new?market={stored.market}"))
    offered = {int(str(box["value"])) for box in page.select('[name="consignment"]')}
    assert offered == set(stored.consignments)
    assert "40 fruit looked at in 4 bins" in words(page)
    assert "1050-1 , Far paddock: no intake sample yet" in words(page)


def test_consignments_of_long_ago_are_shown_when_asked_for(sqlite_database: Database, stored: Stock) -> None:
    late = visitor(sqlite_database, Role.MARKETER, clock_shift=NOON + timedelta(days=31) - datetime.now(UTC))
    address = f"/quotes/new?market={stored.market}"
    assert "None for this market is ready from the last 30 days" in words(parsed(late.get(address)))
    assert len(parsed(late.get(f"{address}&every=yes")).select('[name="consignment"]')) == 2


def test_the_sheet_says_what_a_marketer_would_say(marketer: Visitor, stored: Stock) -> None:
    page = parsed(marketer.get(sheet_of(stored)))
    assert one(page, "h1").get_text() == "I can give you 264 of the Extra Class 16s for certain; likely about 283."
    assert "A quote of several lines holds as a whole less often" in words(page)
    assert (typed_in(page, "trays-Extra-16"), typed_in(page, "price-Extra-16")) == ("264", "24.00")
    assert typed_in(page, "price-Extra-18") == ""
    assert row_words(page, 16) == "Extra Class 16s about 283 264 6 336.00"
    assert "no price in the list" in row_words(page, 18)


def test_a_class_and_count_with_nothing_to_promise_still_shows_what_is_expected(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    with sqlite_database.writing() as session:
        block_id = season.block(session, season.grower(session, "Second"), "Far paddock")
        one_bin = looked_at(session, block_id, stored.market, number="9", sixteens=[6])
        session.commit()
    page = parsed(marketer.get(sheet_of(stored._replace(consignments=(one_bin,)))))
    assert row_words(page, 16) == "Extra Class 16s about 35 0"
    assert typed_in(page, "trays-Extra-16") == ""
    assert "From one bin nothing can be promised" in words(page)


def test_a_look_works_the_form_out_and_keeps_nothing(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    look = typed(stored, trays_16="270", trays_18="10", buyer="", look="yes")
    answer = marketer.get("/quotes/new", params=look)
    page = parsed(answer)
    assert answer.status_code == 200
    assert "6 more than you can be sure of" in words(page)
    assert "Offered 270 6 480.00" in words(page)
    assert "Extra Class 18s have no price" in error_at(page, "price-Extra-18")
    assert kept(sqlite_database) == []


def test_a_quote_is_kept_and_printed(marketer: Visitor, sqlite_database: Database, stored: Stock) -> None:
    answer = marketer.post("/quotes", typed(stored, trays_18="2", price_18="21.55"))
    quote = kept(sqlite_database)[0]
    assert (answer.status_code, answer.headers["location"]) == (303, f"/quotes/{quote.id}")
    assert [(line.trays, line.price_minor, line.price_known_as) for line in lines(sqlite_database)] == [
        (100, 2400, "list"),
        (2, 2155, "typed"),
    ]
    page = parsed(marketer.get(f"/quotes/{quote.id}"))
    sheet = words(page, ".sheet")
    for said in (
        "Quote 1 to Harbour Fruit",
        "Stands until Wed 14 Jan 2026",
        "Delivered, city market",
        "AUD",
        "Total 102 2 443.10",
        "version 1",
        "80 fruit measured one by one, out of 8 bins of consignments 1042-1, 1043-1",
        "Claims follow the contract of sale and local law",
        "Ripe on arrival.",
    ):
        assert said in sheet
    assert "264" not in sheet  # what the shed could promise is not the buyer's to read
    assert "typed" in words(page, ".no-print")


def test_a_typed_price_that_is_the_lists_is_the_lists(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    marketer.post("/quotes", typed(stored, price_16=" 24.00 AUD"))
    assert lines(sqlite_database)[0].price_known_as == "list"


@pytest.mark.parametrize(
    ("trays", "kind", "sentence"),
    [
        ("276", "watch", "12 more than you can be sure of"),
        ("300", "stop", "17 more than is likely there, 36 more than you can be sure of"),
    ],
)
def test_more_than_can_be_promised_is_kept_and_said(
    marketer: Visitor, sqlite_database: Database, stored: Stock, trays: str, kind: str, sentence: str
) -> None:
    looked = parsed(marketer.get("/quotes/new", params=typed(stored, trays_16=trays, look="yes")))
    assert sentence in words(looked, f".mark-{kind}")
    assert save(marketer, stored, trays_16=trays) == 303
    page = parsed(marketer.get(f"/quotes/{kept(sqlite_database)[0].id}"))
    assert sentence in words(page, f".no-print .mark-{kind}")


def test_more_than_is_likely_there_comes_back_once_with_the_warning(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    answer = marketer.post("/quotes", typed(stored, trays_16="300"))
    page = parsed(answer)
    assert answer.status_code == 409
    asked = "You offer 300 Extra Class 16s, but only about 283 are likely there. Save again if that is right."
    assert asked in words(page, ".look-again")
    assert asked in words(page, "#f-trays-Extra-16-look")
    assert "The quote tells the buyer that its trays are held" in words(page)
    assert kept(sqlite_database) == []
    seen = {str(each["name"]): str(each["value"]) for each in page.select('[name^="seen-"]')}
    assert marketer.post("/quotes", typed(stored, trays_16="310") | seen).status_code == 409
    assert marketer.post("/quotes", typed(stored, trays_16="300") | seen).status_code == 303
    paper = words(parsed(marketer.get("/quotes/1")), ".sheet")
    assert "held for you until then as far as the fruit gives them" in paper


def test_nothing_ticked_says_what_to_do(marketer: Visitor, stored: Stock) -> None:
    page = parsed(marketer.get(f"/quotes/new?market={stored.market}&picked=yes"))
    assert "Tick at least one consignment" in words(page, ".notice-stop")
    assert not parsed(marketer.get(f"/quotes/new?market={stored.market}")).select(".notice-stop")


def test_the_picker_counts_bins_and_says_what_is_held(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    """Each of four bins drawn from twice is four bins still."""
    with sqlite_database.writing() as session:
        again = season.sample(session, stored.consignments[0])
        for bin_id in season.bins_of(session, stored.consignments[0]):
            draw_all(session, again, bin_id, [(4400, ())] * 2)
        session.commit()
    marketer.post("/quotes", typed(stored, consignment=[str(stored.consignments[0])]))
    lines = [
        " ".join(line.get_text(" ").split())
        for line in parsed(marketer.get(f"/quotes/new?market={stored.market}")).select(".pick-rows label")
    ]
    assert [line.split()[0] for line in lines] == ["1043-1", "1042-1"]
    first = lines[1].replace("\u202f", " ")
    assert first.startswith("1042-1 Tallow Creek, Ridge 3, Calypso 1 600 kg, 100 trays held picked Wed 14 Jan 2026")
    assert "48 fruit looked at in 4 bins" in first
    assert "held" not in lines[0]


def test_more_than_the_consignments_could_hold_is_refused(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    # 2 x 1600 kg make at most 2 x 228 trays of 7 kg.
    alone = parsed(marketer.post("/quotes", typed(stored, trays_16="457")))
    assert "3 200 kg came in, enough for at most 456" in error_at(alone, "trays-Extra-16").replace("\u202f", " ")
    together = parsed(marketer.post("/quotes", typed(stored, trays_16="400", trays_18="57", price_18="20")))
    assert "457 trays are more than these consignments could ever fill" in words(together, "#f-lines")
    assert kept(sqlite_database) == []
    assert save(marketer, stored, trays_16="400", trays_18="56", price_18="20") == 303


def test_what_is_held_counts_against_what_could_be_held(marketer: Visitor, stored: Stock) -> None:
    save(marketer, stored, trays_16="400")
    page = parsed(marketer.post("/quotes", typed(stored, trays_16="57", sure_16="0")))
    assert "of which other quotes hold some, enough for at most 56" in error_at(page, "trays-Extra-16")


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("buyer", "", "Fill this in."),
        ("buyer", "x" * 121, "at most 120 fit"),
        ("basis", " ", "Fill this in."),
        ("basis", "x" * 81, "at most 80 fit"),
        ("note", "x" * 401, "at most 400 fit"),
        ("valid_until", "", "Fill this in."),
        ("valid_until", "tomorrow", "2026-01-12"),
        ("valid_until", "2026-01-13", "Tue 13 Jan 2026 has passed"),
        ("valid_until", "2027-02-14", "over a year away"),
        ("trays-Extra-16", "some", "is not a number"),
        ("trays-Extra-16", "-5", "too small"),
        ("trays-Extra-16", "1.5", "whole number"),
        ("trays-Extra-16", "100000", "too big"),
        ("price-Extra-16", "", "Extra Class 16s have no price"),
        ("price-Extra-16", "-1", "less than nothing"),
        ("price-Extra-16", "24.005", "up to 2 decimals"),
    ],
)
def test_refuses_by_the_field(
    marketer: Visitor, sqlite_database: Database, stored: Stock, field: str, value: str, sentence: str
) -> None:
    answer = marketer.post("/quotes", {**typed(stored), field: value})
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, field)
    assert typed_in(page, field) == value
    other = "buyer" if field != "buyer" else "basis"
    assert typed_in(page, other) == typed(stored)[other]
    assert kept(sqlite_database) == []


@pytest.mark.parametrize("trays", ["", "0"])
def test_a_quote_of_nothing_is_refused(marketer: Visitor, sqlite_database: Database, stored: Stock, trays: str) -> None:
    answer = marketer.post("/quotes", typed(stored, trays_16=trays))
    assert answer.status_code == 422
    assert "Offer at least one tray" in words(parsed(answer), "#f-lines")
    assert kept(sqlite_database) == []


def test_a_second_quote_sees_less_by_what_the_first_holds(marketer: Visitor, stored: Stock) -> None:
    marketer.post("/quotes", typed(stored))
    page = parsed(marketer.get(sheet_of(stored)))
    assert row_words(page, 16).startswith("Extra Class 16s about 183 164 100 held by other quotes")
    assert one(page, "h1").get_text() == "I can give you 164 of the Extra Class 16s for certain; likely about 183."
    assert "Not to say aloud: other quotes hold 100 more." in words(page, ".lead")


def test_a_lapsed_quote_holds_nothing(sqlite_database: Database, marketer: Visitor, stored: Stock) -> None:
    marketer.post("/quotes", typed(stored))
    tomorrow = visitor(sqlite_database, Role.MANAGER, clock_shift=NOON + timedelta(days=1) - datetime.now(UTC))
    assert row_words(parsed(tomorrow.get(sheet_of(stored))), 16).startswith("Extra Class 16s about 283 264")
    page = words(parsed(tomorrow.get("/quotes")))
    assert "No quote stands; nothing is held" in page
    assert "Lapsed after Wed 14 Jan 2026" in page
    quote = kept(sqlite_database)[0]
    assert not parsed(tomorrow.get(f"/quotes/{quote.id}")).select("form[action$=withdrawal]")


def test_a_withdrawn_quote_holds_nothing_and_says_who_and_when(
    sqlite_database: Database, marketer: Visitor, stored: Stock
) -> None:
    marketer.post("/quotes", typed(stored))
    quote_id = kept(sqlite_database)[0].id
    page = parsed(marketer.get(f"/quotes/{quote_id}"))
    form = one(page, "form[action$=withdrawal]")
    sent = {str(each["name"]): str(each.get("value", "")) for each in form.select("[name]")}
    answer = marketer.post(str(form["action"]), {**sent, "reason": "the buyer cancelled"})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/quotes/{quote_id}")
    assert row_words(parsed(marketer.get(sheet_of(stored))), 16).startswith("Extra Class 16s about 283 264")
    assert "Withdrawn by marketer, Wed 14 Jan 2026, 12:" in words(parsed(marketer.get(f"/quotes/{quote_id}")))
    assert "Withdrawn because: the buyer cancelled" in words(parsed(marketer.get(f"/quotes/{quote_id}")))
    assert "Withdrawn Wed 14 Jan 2026" in words(parsed(marketer.get("/quotes")))


def test_a_withdrawal_needs_a_reason(sqlite_database: Database, marketer: Visitor, stored: Stock) -> None:
    marketer.post("/quotes", typed(stored))
    for reason, sentence in (("  ", "Fill this in."), ("x" * 300, "300 letters long")):
        answer = marketer.post("/quotes/1/withdrawal", {"reason": reason, "version": "1"})
        page = parsed(answer)
        assert answer.status_code == 422
        assert sentence in error_at(page, "reason")
        assert typed_in(page, "reason") == reason
    assert [quote.withdrawn_at for quote in kept(sqlite_database)] == [None]


def test_trays_that_another_quote_took_meanwhile_are_said_before_anything_is_kept(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    marketer.post("/quotes", typed(stored, trays_16="100"))
    answer = marketer.post("/quotes", typed(stored, trays_16="180"))
    page = parsed(answer)
    assert answer.status_code == 409
    assert "Extra Class 16s: 164 instead of 264" in words(page, ".notice")
    assert (typed_in(page, "trays-Extra-16"), typed_in(page, "sure-Extra-16")) == ("180", "164")
    assert len(kept(sqlite_database)) == 1
    assert marketer.post("/quotes", typed(stored, trays_16="180", sure_16="164")).status_code == 303


def test_trays_that_are_still_there_are_not_asked_about_again(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    marketer.post("/quotes", typed(stored, trays_16="100"))
    assert marketer.post("/quotes", typed(stored, trays_16="164")).status_code == 303
    assert [quote.number for quote in kept(sqlite_database)] == [1, 2]


def test_the_same_form_twice_stores_once(marketer: Visitor, sqlite_database: Database, stored: Stock) -> None:
    answers = [marketer.post("/quotes", typed(stored, form_key="k")) for _ in range(2)]
    assert [(answer.status_code, answer.headers["location"]) for answer in answers] == [(303, "/quotes/1")] * 2
    assert len(kept(sqlite_database)) == 1
    with sqlite_database.reading() as session:
        assert sum(hold.trays for hold in session.exec(select(QuoteHold))) == 100


@pytest.mark.parametrize("record_id", ["0", "77", "none", "9" * 25])
@pytest.mark.parametrize("field", ["market", "tray", "consignment"])
def test_an_unknown_id_is_not_here(
    marketer: Visitor, sqlite_database: Database, stored: Stock, field: str, record_id: str
) -> None:
    fields = {name: value for name, value in typed(stored).items() if name in {"market", "tray", "consignment"}}
    assert marketer.get("/quotes/new", params={**fields, field: record_id}).status_code == 404
    assert marketer.post("/quotes", {**typed(stored), field: record_id}).status_code == 404
    assert marketer.get(f"/quotes/{record_id}").status_code == 404
    assert marketer.post(f"/quotes/{record_id}/withdrawal").status_code == 404
    assert kept(sqlite_database) == []


def test_a_consignment_of_another_market_is_not_here(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    with sqlite_database.writing() as session:
        other = season.market(session, season.spec_version(session), [stored.tray], "Other")
        session.commit()
    assert marketer.get(sheet_of(stored._replace(market=other))).status_code == 404
    assert marketer.post("/quotes", typed(stored._replace(market=other))).status_code == 404


def test_a_form_without_a_consignment_is_not_here(marketer: Visitor, stored: Stock) -> None:
    assert marketer.post("/quotes", typed(stored, consignment=[])).status_code == 404


def test_consignments_that_cannot_be_quoted_are_sent_back_in_a_sentence(
    marketer: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    with sqlite_database.writing() as session:
        block_id = season.block(session, season.grower(session, "Second"), "Far paddock")
        bare = season.consignment(session, block_id, stored.market, number="1050")
        session.commit()
    both = stored._replace(consignments=(*stored.consignments, bare))
    for answer in (marketer.get(sheet_of(both)), marketer.post("/quotes", typed(both))):
        assert "1050-1 was not weighed or has no intake sample" in words(parsed(answer), ".notice-stop")
        assert len(parsed(answer).select("[name=consignment][checked]")) == 2
    assert kept(sqlite_database) == []


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.GRADER, Role.GROWER])
def test_who_sells_nothing_makes_and_sees_no_quote(
    marketer: Visitor, sqlite_database: Database, stored: Stock, role: Role
) -> None:
    marketer.post("/quotes", typed(stored))
    other = someone(sqlite_database, role)
    addresses = ["/quotes", "/quotes/1", "/quotes/new", sheet_of(stored)]
    assert {other.get(address).status_code for address in addresses} == {403}
    assert other.post("/quotes", typed(stored)).status_code == 403
    assert other.post("/quotes/1/withdrawal").status_code == 403
    assert [quote.withdrawn_at for quote in kept(sqlite_database)] == [None]


def test_the_manager_may_quote_too(sqlite_database: Database, stored: Stock) -> None:
    assert someone(sqlite_database, Role.MANAGER).post("/quotes", typed(stored)).status_code == 303


def test_a_form_from_another_site_is_refused(marketer: Visitor, sqlite_database: Database, stored: Stock) -> None:
    headers = {"origin": "http://elsewhere.example"}
    assert marketer.post("/quotes", typed(stored), headers=headers).status_code == 403
    marketer.post("/quotes", typed(stored))
    assert marketer.post("/quotes/1/withdrawal", headers=headers).status_code == 403
    assert [quote.withdrawn_at for quote in kept(sqlite_database)] == [None]
