"""The words over a column of figures stand over that column, on the tablet held either way."""

import pytest
from playwright.sync_api import Page

from shedgrade.storage.database import Database
from tests.support.browsing import sign_in
from tests.support.every_page import person_ids, season_ids

# Per table with a head: how far the middle of each head is from the middle of what stands below it, in px.
APART = """all => all.map((table) => {
  const middle = (each) => { const box = each.getBoundingClientRect(); return (box.left + box.right) / 2; };
  const heads = [...table.tHead.rows[0].cells];
  return [...table.tBodies[0].rows].filter((row) => !row.matches('.beyond'))
    .flatMap((row) => [...row.cells].map((cell, place) => Math.abs(middle(cell) - middle(heads[place]))));
})"""


@pytest.mark.parametrize("address", ["/markets/{market_id}", "/markets/{market_id}/prices/new"])
def test_each_price_stands_under_its_count(
    tablet_page: Page, demo_site: str, demo_database: Database, address: str
) -> None:
    everybody, ids = person_ids(demo_database), season_ids(demo_database)
    sign_in(tablet_page.context, demo_site, demo_database, everybody["Shed manager"])
    tablet_page.goto(demo_site + address.format(**ids))
    tables = tablet_page.locator("table:visible:has(thead)")
    apart = tables.evaluate_all(APART)
    assert apart
    for each in apart:
        assert len(each) > 4
        assert max(each) < 3
