"""What a market's consignments can offer. The figures are worked by hand in tests/support/stock.py."""

import pytest
from sqlmodel import Session

from shedgrade.domain.offer import PriceOrigin, sum_minor
from shedgrade.domain.spec import library
from shedgrade.reports.quote import Chosen, NotTogetherError, offers_of
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Consignment
from tests.support import season
from tests.support.stock import cell, looked_at, sheet, stock


def test_says_what_a_marketer_would_say(database: Database) -> None:
    with database.writing() as session:
        found = sheet(session, stock(session))
    best = found.best
    assert best is not None
    assert best.says() == "I can give you 126 of the Extra Class 16s for certain; likely about 142."
    assert (best.list_minor, cell(found, 18).list_minor) == (2400, None)
    assert (found.n_fruit, found.n_draws, found.net_g, found.room) == (40, 4, 1_600_000, 228)
    assert ("Extra Class", 14) in found.nothing_of


def test_consignments_together_promise_more_than_apart(database: Database) -> None:
    with database.writing() as session:
        found = cell(sheet(session, stock(session, consignments=2)), 16).promise
    assert (found.promised, found.likely) == (264, 283)


def test_a_class_and_count_with_nothing_to_promise_still_shows_what_is_expected(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        one_bin = looked_at(session, block_of(session, stored.consignments[0]), stored.market, number="9", sixteens=[6])
        found = sheet(session, stored, only=[one_bin])
    # 6 fruit of 42 400 dg, 400 kg: 4 000 000 x 6 / 42 400 / 16 = 35.4
    assert cell(found, 16).says() == "I can't give you any Extra Class 16s for certain; likely about 35."


def test_offers_lie_on_consignments_in_proportion_to_what_each_can_promise(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session, consignments=2)
        found = sheet(session, stored)
        first, second = stored.consignments
        within, beyond = (offers_of(found, [Chosen(cell(found, 16), trays, 2400)])[0] for trays in (100, 260))
    assert within.holds == {first: 50, second: 50}
    assert beyond.holds == {first: 130, second: 130}
    assert (within.price_origin, within.promised, within.likely) == (PriceOrigin.LIST, 264, 283)


def test_no_consignment_holds_more_than_it_weighed(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session, consignments=2)
        found = sheet(session, stored)
        lines = [Chosen(cell(found, 16), 300, 2400), Chosen(cell(found, 18), 156, 2000)]
        offers = offers_of(found, lines)
    for consignment_id in stored.consignments:
        assert sum(offer.holds[consignment_id] for offer in offers) == 228
    assert sum_minor(offers) == 300 * 2400 + 156 * 2000


def test_another_price_than_the_lists_is_a_typed_one(database: Database) -> None:
    with database.writing() as session:
        found = sheet(session, stock(session))
        offers = offers_of(found, [Chosen(cell(found, 16), 1, 2399), Chosen(cell(found, 18), 1, 2400)])
    assert [offer.price_origin for offer in offers] == [PriceOrigin.TYPED, PriceOrigin.TYPED]


def test_consignments_of_two_spec_versions_are_quoted_apart(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session, consignments=2)
        other = season.spec_version(session, library.standards()["mango-unece-ffv45"])
        session.get_one(Consignment, stored.consignments[1]).spec_version_id = other
        session.flush()
        with pytest.raises(NotTogetherError, match="Quote them apart"):
            sheet(session, stored)


@pytest.mark.parametrize("bins", [[400_000], []], ids=["no sample", "not weighed"])
def test_what_was_not_looked_at_or_not_weighed_is_left_out(database: Database, bins: list[int]) -> None:
    with database.writing() as session:
        stored = stock(session)
        block_id = block_of(session, stored.consignments[0])
        bare = season.consignment(session, block_id, stored.market, number="9", bins_net_g=bins)
        if not bins:
            season.fruit(session, season.draw(session, season.sample(session, bare)), 4400)
        with pytest.raises(NotTogetherError, match="9-1 was not weighed or has no intake sample"):
            sheet(session, stored, only=[*stored.consignments, bare])


def test_fruit_of_other_questions_promise_nothing(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        draw_id = season.draw(session, season.sample(session, stored.consignments[0], question="table"))
        season.fruit(session, draw_id, 4400)
        assert sheet(session, stored).n_fruit == 40


def block_of(session: Session, consignment_id: int) -> int:
    return session.get_one(Consignment, consignment_id).block_id
