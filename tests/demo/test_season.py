"""The demo season tells its story: what it promises must be findable in the data."""

from collections.abc import Iterator

import pytest
from rich.progress import Progress
from sqlmodel import Session, col, select

from shedgrade.demo.load import load
from shedgrade.demo.season import season
from shedgrade.domain.grading.one import grade
from shedgrade.domain.people import Person, Role
from shedgrade.reports.net import net_of
from shedgrade.storage import intake, markets, quotes, specs
from shedgrade.storage.database import Database
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.samples import DrawnFruit, drawn_fruit
from shedgrade.storage.tables import FruitRow, Quote, QuoteLine
from tests.support.templates import SqliteTemplate

MANAGER = Person(1, "Shed manager", frozenset({Role.MANAGER}))


@pytest.fixture(scope="module")
def demo(sqlite_template: SqliteTemplate, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    with sqlite_template.copy(tmp_path_factory.mktemp("demo")) as database:
        load(database, Progress(disable=True))
        yield database


@pytest.fixture
def session(demo: Database) -> Iterator[Session]:
    with demo.reading() as session:
        yield session


def of_block(session: Session, block: str, day: int) -> ConsignmentWhole:
    found = [
        whole
        for whole in intake.consignments_for(session, MANAGER)
        if whole.block.name == block and whole.consignment.received_at.date() == season().day(day)
    ]
    assert len(found) == 1
    return found[0]


def fruit_of(session: Session, whole: ConsignmentWhole, question: str = "intake") -> list[DrawnFruit]:
    return drawn_fruit(session, consignment_ids=[whole.id], question=question)


def with_fault(fruit: list[DrawnFruit], kind: str) -> int:
    return sum(any(defect.kind == kind for defect in one.fruit.defects) for one in fruit)


def test_several_thousand_fruit_were_sampled(session: Session) -> None:
    assert len(session.exec(select(FruitRow.id)).all()) > 3000


def test_the_story_is_the_same_every_time(session: Session) -> None:
    first = of_block(session, "Creek side", 1)
    weights = [one.fruit.weight_dg for one in fruit_of(session, first)[:5]]
    assert weights == [4570, 3830, 5540, 3900, 4730]


def test_day_1_the_wet_empties_take_19_kg_off(session: Session) -> None:
    whole = of_block(session, "Creek side", 1)
    net = net_of(whole)
    assert net.correction_g == -19_000
    other = of_block(session, "Home block", 1)
    assert other.docket.id == whole.docket.id
    assert sum(each.part for each in other.bins) == 1


def test_day_2_grower_and_shed_count_the_same_bins(session: Session) -> None:
    whole = of_block(session, "Ridge 3", 2)
    assert (whole.consignment.grower_bins, len(whole.bins)) == (11, 11)


def test_day_3_picked_in_the_heat_sap_stains_nine_of_forty_and_two_when_picked_at_night(session: Session) -> None:
    hot, cool = (fruit_of(session, of_block(session, "West slope", day)) for day in (3, 4))
    assert (with_fault(hot, "sap-stain"), len(hot)) == (9, 40)
    assert (with_fault(cool, "sap-stain"), len(cool)) == (2, 40)


def test_day_6_hail_leaves_41_percent_class_1(session: Session) -> None:
    whole = of_block(session, "Ockerfield 2", 6)
    spec = specs.spec_of(session, whole.consignment.spec_version_id)
    classes = [grade(spec, one.fruit).class_id for one in fruit_of(session, whole)]
    share = sum(each in {"Extra", "I"} for each in classes) / len(classes)
    assert round(share * 100) == 41


def test_day_7_the_belt_holds_good_fruit(session: Session) -> None:
    whole = of_block(session, "Ridge 3", 7)
    spec = specs.spec_of(session, whole.consignment.spec_version_id)
    belt = fruit_of(session, whole, "reject belt")
    assert sum(grade(spec, one.fruit).class_id == "I" for one in belt) == 7
    assert len(belt) == 40


def test_day_11_a_hold_lapses_and_the_second_buyer_gets_the_trays(session: Session) -> None:
    made = session.exec(select(Quote).order_by(col(Quote.number))).all()
    lapsed, second = made[0], made[1]
    lines = {line.quote_id: line.trays for line in session.exec(select(QuoteLine).where(QuoteLine.count == 16))}
    assert lines[lapsed.id or 0] == lines[second.id or 0] == 80
    assert not quotes.stands(lapsed, second.made_at.date())
    assert quotes.stands(second, second.made_at.date())


def test_one_load_came_from_a_single_bin_and_can_have_no_range(session: Session) -> None:
    fruit = fruit_of(session, of_block(session, "River flat", 21))
    assert len({one.draw_id for one in fruit}) == 1


def test_every_market_has_prices_for_every_count_and_outlet(session: Session) -> None:
    for market in markets.markets(session):
        prices = markets.prices_in_force(session, market.id, season().last_day)
        assert prices is not None
        spec = specs.spec_in(market.spec_version)
        for tray_id, tray in market.trays:
            wanted = {(tray_id, each.id, count) for each in spec.classes for count in tray.counts}
            assert wanted <= prices.tray_minor.keys()
        assert {outlet.id for outlet in spec.outlets} <= prices.outlet_kg_minor.keys()
