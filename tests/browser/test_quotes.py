"""Quotes in a real browser: worked out, saved, withdrawn; and a long one goes out on one sheet of paper."""

import re
from datetime import UTC, datetime

from playwright.sync_api import BrowserContext, Page, expect
from sqlmodel import Session, select

from shedgrade.actions.quotes import QuoteFacts, make_quote
from shedgrade.demo.season import season as story
from shedgrade.domain.offer import Offer, PriceOrigin
from shedgrade.storage import markets
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Consignment, Market, PersonRow, Quote
from tests.support.browsing import sign_in


def signed_in(context: BrowserContext, address: str, database: Database, name: str) -> None:
    """Let the browser speak for a person of the demo shed."""
    with database.reading() as session:
        person_id = session.exec(select(PersonRow.id).where(PersonRow.name == name)).one()
    sign_in(context, address, database, person_id or 0)


def newest(session: Session, market_id: int, most: int) -> list[int]:
    query = select(Consignment.id).where(Consignment.market_id == market_id)
    return sorted(key or 0 for key in session.exec(query))[-most:]


def sheet_address(database: Database) -> str:
    with database.reading() as session:
        market_id = session.exec(select(Market.id)).first() or 0
        chosen = newest(session, market_id, 3)
    return f"/quotes/new?market={market_id}" + "".join(f"&consignment={each}" for each in chosen)


def test_a_quote_is_worked_out_then_saved_then_withdrawn(page: Page, demo_site: str, demo_database: Database) -> None:
    signed_in(page.context, demo_site, demo_database, "Marketer")
    page.goto(demo_site + sheet_address(demo_database))
    trays = page.locator('input[name^="trays-"]').first
    trays.fill(str(int(trays.input_value()) + 1))
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_text("1 more than you can be sure of")).to_be_visible()
    page.get_by_label("Buyer", exact=True).fill("Harbour & Hill")
    page.get_by_role("button", name="Save the quote").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("to Harbour & Hill")
    page.get_by_label("Why it is withdrawn").fill("the buyer cancelled")
    page.get_by_role("button", name="Withdraw the quote").click()
    expect(page.get_by_text("by Marketer")).to_be_visible()


def test_a_long_quote_prints_on_one_sheet(page: Page, demo_site: str, demo_database: Database) -> None:
    quote_id = long_quote(demo_database)
    signed_in(page.context, demo_site, demo_database, "Marketer")
    page.goto(f"{demo_site}/quotes/{quote_id}")
    pages = re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True))
    assert len(pages) == 1


def long_quote(database: Database) -> int:
    """Three classes in eight counts out of twelve consignments, with as long a note as fits."""
    with database.writing() as session:
        quote = session.exec(select(Quote)).first()
        assert quote is not None
        market = markets.market(session, quote.market_id)
        chosen = newest(session, market.id, 12)
        offers = [
            Offer("I", count, 99_999, 123_456, PriceOrigin.TYPED, 1, 1, {chosen[0]: 99_999})
            for count in market.trays[0][1].counts
        ] * 3
        facts = QuoteFacts(
            market_id=market.id,
            spec_version_id=quote.spec_version_id,
            currency=market.market.currency,
            tray_type_id=market.trays[0][0],
            buyer="Harbour and Hill Fruit Merchants of the Northern Wharves and the Inland Markets",
            basis="Delivered to the northern wharf, duty and first freight included",
            note="word " * 80,
            valid_until=story().last_day,
            sources=dict.fromkeys(chosen, (108, 12)),
            offers=offers,
        )
        kept = make_quote(session, facts, quote.made_by_id, datetime(2026, 2, 1, 9, tzinfo=UTC))
        session.commit()
        return kept.id or 0
