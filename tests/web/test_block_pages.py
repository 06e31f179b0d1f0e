"""A block's page: what its grower reads there, and what it refuses."""

import pytest

from shedgrade.actions.samples import void_sample
from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.support import season, worked
from tests.support.season import Mark
from tests.support.visitor import Visitor, one, parsed, visitor, words
from tests.support.worked import Worked


@pytest.fixture
def case(sqlite_database: Database) -> Worked:
    """The consignment of the block, with both bins looked at."""
    with sqlite_database.writing() as session:
        found = worked.consignment(session)
        worked.looked_at(session, found)
        session.commit()
    return found


@pytest.fixture
def owner(sqlite_database: Database, case: Worked) -> Visitor:
    return visitor(sqlite_database, Role.GROWER, grower_id=case.grower)


def said(who: Visitor, block_id: int) -> str:
    """The page's words, every kind of space made plain."""
    response = who.get(f"/blocks/{block_id}")
    assert response.status_code == 200
    return words(parsed(response)).replace("\u202f", " ").replace("\u00a0", " ")


def test_the_grower_reads_what_was_looked_at_and_what_another_look_would_say(owner: Visitor, case: Worked) -> None:
    text = said(owner, case.block)
    assert "70 in 100 fruit of Ridge 3 would go into trays; sap stain or rot marked most down" in text
    # Packed 4 of 5 and 3 of 5: se 0.1, t(1) 12.71, so the range and its widening reach both ends.
    assert "We looked at 10 of about 2 000 of your mangoes; another 10 would likely have said anything" in text
    assert "7 of the 10 would go into trays." in text


def test_the_shed_reads_whose_fruit_it_is(sqlite_database: Database, case: Worked) -> None:
    text = said(visitor(sqlite_database, Role.MARKETER), case.block)
    assert "Tallow Creek, Calypso" in text
    assert "of the mangoes of Ridge 3" in text


def test_three_defects_stand_with_how_many_fruit_and_a_range(owner: Visitor, case: Worked) -> None:
    text = said(owner, case.block)
    assert "Sap stain kept 30 % of the fruit out of Extra Class" in text
    assert "Sap stain on 3 of the 10 fruit looked at for it, which is 30 %." in text
    assert "sap stain 30 % 1 to 94 %" in text  # 2 of 5 and 1 of 5: 0.0110 to 0.9430, as test_packout.py works it out


def test_chart_and_list_hold_the_same_causes_in_the_same_order(
    sqlite_database: Database, owner: Visitor, case: Worked
) -> None:
    """Beside sap stain on 3, rot and wind rub on 1 of 10 each: a second sample with size on 6 of 10."""
    with sqlite_database.writing() as session:
        sample_id = season.sample(session, case.consignment, tray_type_id=case.tray)
        for bin_id in case.bins:
            worked.draw_all(session, sample_id, bin_id, [(1900, ())] * 3 + [(4000, ())] * 2)
        session.commit()
    page = parsed(owner.get(f"/blocks/{case.block}"))
    charted = [each.get_text(strip=True).lower() for each in page.select(".chart .bar-word")]
    listed = [each.get_text(" ", strip=True).lower().split(" on ")[0] for each in page.select(".plain-list li")]
    assert charted[: len(listed)] == listed == ["size", "sap stain", "rot", "wind rub"]
    assert "of the defects sap stain or rot marked most down" in words(page, "h1")
    assert "of the defects the three that did most" in words(page)


def test_a_consignment_stands_with_pack_out_classes_and_a_way_to_its_report(owner: Visitor, case: Worked) -> None:
    page = parsed(owner.get(f"/blocks/{case.block}"))
    line = one(page, ".consignment")
    assert one(line, "a")["href"] == f"/consignments/{case.consignment}/packout"
    text = " ".join(line.get_text(" ").split()).replace("\u202f", " ").replace("\u00a0", " ")
    assert "picked Wed 14 Jan 2026" in text
    assert "800 kg net, weighed" in text
    assert "70 % of the fruit would go into trays, likely" in text
    assert "7 of 10 fruit from 2 bins, estimated. Sap stain on 3 of 10, rot on 1 of 10, wind rub on 1 of 10." in text
    assert "Extra Class 50 %" in text
    assert "No class 20 %" in text


def test_a_weighted_share_is_said_beside_the_plain_count(
    sqlite_database: Database, owner: Visitor, case: Worked
) -> None:
    """1042 brought 2000 fruit, 7 of 10 into trays, 1043 10 000, all 10: by count 17 of 20, weighed 19 of 20."""
    with sqlite_database.writing() as session:
        big = season.consignment(session, case.block, case.market, number="1043", bins_net_g=(2_000_000, 2_000_000))
        sample_id = season.sample(session, big, tray_type_id=case.tray, looked_for="sap-stain")
        for bin_id in season.bins_of(session, big):
            worked.draw_all(session, sample_id, bin_id, [(4000, ())] * 5)
        session.commit()
    text = said(owner, case.block)
    weighed = "each consignment counted by how much fruit it brought"
    counted = "17 of the 20 would go into trays: that is 85 in 100 of those looked at"
    assert f"{counted}, and 95 in 100 of all fruit, {weighed}." in text
    assert f"Sap stain on 3 of the 20 fruit looked at for it, which is 15 %; 5 % of all fruit, {weighed}." in text
    assert "Rot on 1 of the 10 fruit looked at for it, which is 10 %. Not in this: 1 consignment" in text
    assert "that nobody looked at for it" in text
    assert "Rot not looked for" in text
    assert "10 of the 20 fruit were not judged on" in text.split("We looked at")[0]


def test_one_bin_says_that_no_range_can_be_given(sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        case = worked.consignment(session)
        worked.draw_all(session, season.sample(session, case.consignment), case.bins[0], worked.BIN_1)
        session.commit()
    text = said(visitor(sqlite_database, Role.GROWER, grower_id=case.grower), case.block)
    assert "All of them came from one bin, so no range can be given" in text
    assert "no range: one bin" in text
    assert "likely" not in text


def test_a_table_sample_is_not_pooled(sqlite_database: Database, owner: Visitor, case: Worked) -> None:
    before = said(owner, case.block)
    with sqlite_database.writing() as session:
        table = season.sample(session, case.consignment, question="table")
        worked.draw_all(session, table, case.bins[0], [(4000, (Mark("rot"),))] * 9)
        session.commit()
    assert said(owner, case.block) == before


def test_nobody_has_looked_yet(sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        case = worked.consignment(session)
        session.commit()
    text = said(visitor(sqlite_database, Role.GROWER, grower_id=case.grower), case.block)
    assert "Nobody has looked at fruit of Ridge 3 yet" in text
    assert "Nobody has measured its fruit yet." in text


def test_a_voided_sample_is_no_look_that_never_was(sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        case = worked.consignment(session)
        sample_id = worked.looked_at(session, case)
        grader = season.shed_person(session, "Greta Grader")
        assert void_sample(session, sample_id, "wrong load", grader, season.RECEIVED)
        session.commit()
    owner = visitor(sqlite_database, Role.GROWER, grower_id=case.grower)
    text = said(owner, case.block)
    assert "There are no results for Ridge 3: the sample was voided" in text
    assert "A sample of 10 fruit was voided by the shed, Wed 14 Jan 2026, 03:20: wrong load" in text
    assert "so there are no results until somebody looks again" in text
    assert "Nobody has looked" not in text
    links = [str(link["href"]) for link in parsed(owner.get(f"/blocks/{case.block}")).select(".consignment a")]
    assert f"/samples/{sample_id}" in links
    assert "voided by Greta Grader" in said(visitor(sqlite_database, Role.MARKETER), case.block)


def test_a_voided_sample_without_fruit_was_no_look(sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        case = worked.consignment(session)
        sample_id = season.sample(session, case.consignment)
        assert void_sample(session, sample_id, "wrong load", season.shed_person(session), season.RECEIVED)
        session.commit()
    text = said(visitor(sqlite_database, Role.GROWER, grower_id=case.grower), case.block)
    assert "Nobody has looked at fruit of Ridge 3 yet" in text


def test_several_voided_samples_are_counted(sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        case = worked.consignment(session)
        for _ in range(2):
            sample_id = worked.looked_at(session, case)
            assert void_sample(session, sample_id, "wrong load", season.shed_person(session), season.RECEIVED)
        session.commit()
    text = said(visitor(sqlite_database, Role.GROWER, grower_id=case.grower), case.block)
    assert "There are no results for Ridge 3: all 2 samples were voided" in text


def test_nothing_came_in_teaches(sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        grower_id = season.grower(session)
        block_id = season.block(session, grower_id)
        session.commit()
    text = said(visitor(sqlite_database, Role.GROWER, grower_id=grower_id), block_id)
    assert "Nothing of Ridge 3 has come in yet" in text
    assert "When fruit of this block comes in" in text


def test_another_grower_s_block_is_not_there(sqlite_database: Database, case: Worked) -> None:
    with sqlite_database.writing() as session:
        neighbour = season.grower(session, "Yarrabrink")
        session.commit()
    other = visitor(sqlite_database, Role.GROWER, grower_id=neighbour)
    assert other.get(f"/blocks/{case.block}").status_code == 404


def test_only_the_manager_is_offered_to_edit(sqlite_database: Database, owner: Visitor, case: Worked) -> None:
    edit = f'main a[href="/blocks/{case.block}/edit"]'
    assert parsed(owner.get(f"/blocks/{case.block}")).select(edit) == []
    manager = visitor(sqlite_database, Role.MANAGER)
    assert len(parsed(manager.get(f"/blocks/{case.block}")).select(edit)) == 1


@pytest.mark.parametrize("wrong", ["999", "0", "-1", "ridge", "99999999999999999999"])
def test_a_block_there_is_not(owner: Visitor, wrong: str) -> None:
    assert owner.get(f"/blocks/{wrong}").status_code == 404


def test_asks_a_stranger_who_they_are(sqlite_database: Database, case: Worked) -> None:
    answer = Visitor(sqlite_database, None).get(f"/blocks/{case.block}")
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in")
