"""Receiving a truck: the net is shown before it is stored, and everything the form refuses."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from bs4 import BeautifulSoup
from sqlmodel import col, select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Bin, Consignment, Docket, Weighing
from tests.support import season
from tests.support.intake import Dock, avocado_market, dry_tare, stored_dock, truck_form
from tests.support.season import RECEIVED
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words


@pytest.fixture
def ids(sqlite_database: Database) -> Dock:
    return stored_dock(sqlite_database)


@pytest.fixture
def supervisor(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


def stored(database: Database) -> tuple[list[Docket], list[Consignment]]:
    with database.reading() as session:
        dockets = list(session.exec(select(Docket).order_by(col(Docket.id))))
        return dockets, list(session.exec(select(Consignment).order_by(col(Consignment.id))))


def a_consignment(database: Database, ids: Dock) -> int:
    with database.writing() as session:
        key = season.consignment(session, ids.block, ids.market)
        session.commit()
    return key


def other_weights(ids: Dock) -> dict[str, str]:
    """Another load of five bins, of 2 000 kg as well."""
    return truck_form(ids, gross_1="450", gross_2="1 750", shown="1:410000 4:1590000")


def buttons(page: BeautifulSoup) -> list[str]:
    return [button.get_text(strip=True) for button in page.select(".button-row button")]


def test_an_empty_shed_says_what_is_missing_first(sqlite_database: Database) -> None:
    manager = visitor(sqlite_database, Role.MANAGER)
    assert "no block is in the books yet" in words(parsed(manager.get("/dockets/new")))
    with sqlite_database.writing() as session:
        season.block(session, season.grower(session))
        session.commit()
    assert "no market is in the books yet" in words(parsed(manager.get("/dockets/new")))
    with sqlite_database.writing() as session:
        season.market(session, season.spec_version(session))
        session.commit()
    assert "no bin type is in the books yet" in words(parsed(manager.get("/dockets/new")))


def test_the_form_begins_with_now_six_rows_and_one_thing_to_press(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    page = parsed(supervisor.get("/dockets/new"))
    begun = datetime.fromisoformat(typed_in(page, "received")).replace(tzinfo=UTC)
    assert abs(datetime.now(UTC) - begun) < timedelta(minutes=3)
    assert len(page.select('[name^="gross-"]')) == 6
    assert [typed_in(page, f"bins-{row}") for row in (1, 6)] == ["1", "1"]
    assert buttons(page) == ["Work out the net"]
    assert page.select("#net") == []


def test_working_out_shows_the_net_and_stores_nothing(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    answer = supervisor.post("/dockets", truck_form(ids, do="net", shown=""))
    page = parsed(answer)
    assert answer.status_code == 200
    assert stored(sqlite_database) == ([], [])
    net = words(page, "#net")
    assert "2 000 kg net" in net
    assert "Bin 1 Half-ton plastic 440 kg 40 kg 400 kg" in net
    assert "Bins 2–5, bin 5 a part bin A1, A2 Half-ton plastic 1 760 kg 160 kg 1 600 kg" in net
    assert "Net, 5 bins 2 200 kg 200 kg 2 000 kg" in net
    assert "Tare of Half-ton plastic: 40.0 kg an empty weighed mean of 5 dry empties, Thu 1 Jan 2026" in net
    assert "The grower's own count was 5, the shed's 5." in net
    assert buttons(page) == ["Save", "Save and add another consignment to this docket", "Work out the net again"]
    assert typed_in(page, "shown") == "1:400000 4:1600000"
    assert [typed_in(page, name) for name in ("number", "gross-2", "labels-2")] == ["1042", "1 760", "A1, A2"]
    assert one(page, '[name="part-2"]').has_attr("checked")


def test_enter_in_a_field_never_stores(supervisor: Visitor, ids: Dock) -> None:
    """A browser presses the first button of a form then."""
    page = parsed(supervisor.post("/dockets", truck_form(ids, do="net")))
    first = page.select("form.intake button")[0]
    assert (first["name"], first["value"]) == ("do", "net")


def test_saving_stores_the_docket_and_its_consignment(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    answer = supervisor.post("/dockets", truck_form(ids))
    [docket], [consignment] = stored(sqlite_database)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/consignments/{consignment.id}")
    assert (docket.number, docket.truck, docket.received_at) == ("1042", "Old red", RECEIVED)
    assert (consignment.docket_id, consignment.line, consignment.block_id) == (docket.id, 1, ids.block)
    assert consignment.picked_from == datetime(2026, 1, 13, 22, 0, tzinfo=UTC)
    assert consignment.picked_to == datetime(2026, 1, 14, 2, 0, tzinfo=UTC)
    assert (consignment.team, consignment.pulp_ddeg, consignment.grower_bins) == ("Night team", 264, 5)
    with sqlite_database.reading() as session:
        assert list(session.exec(select(Weighing.gross_g).order_by(col(Weighing.line)))) == [440_000, 1_760_000]
        bins = session.exec(select(Bin).order_by(col(Bin.number))).all()
    assert [(each.number, each.label, each.part) for each in bins] == [
        (1, "", False),
        (2, "A1", False),
        (3, "A2", False),
        (4, "", False),
        (5, "", True),
    ]
    assert {each.tare_id for each in bins} == {ids.tare}


def test_what_may_be_left_out_may_be_left_out(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    typed = truck_form(ids, truck="", team="", pulp="", grower_bins="", labels_2="", bins_1="")
    del typed["part-2"]
    assert supervisor.post("/dockets", typed).status_code == 303
    _, [consignment] = stored(sqlite_database)
    assert (consignment.team, consignment.pulp_ddeg, consignment.grower_bins) == ("", None, None)


def test_times_are_the_sheds_own(ids: Dock, sqlite_database: Database) -> None:
    """Typed in Brisbane's hours, ten ahead, and the tare is that of the day it is there."""
    with sqlite_database.writing() as session:
        tomorrow = dry_tare(session, ids.bin_type, ids.person, date(2026, 1, 15), 190_000)
        session.commit()
    brisbane = visitor(sqlite_database, Role.SUPERVISOR, zone=timezone(timedelta(hours=10)))
    typed = truck_form(ids, received="2026-01-15T01:30", shown="1:402000 4:1608000")
    assert brisbane.post("/dockets", typed).status_code == 303
    _, [consignment] = stored(sqlite_database)
    assert consignment.received_at == datetime(2026, 1, 14, 15, 30, tzinfo=UTC)
    with sqlite_database.reading() as session:
        assert set(session.exec(select(Bin.tare_id))) == {tomorrow}


def test_the_same_form_twice_stores_once(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    typed = truck_form(ids, form_key="x") | {"form_key": "one sheet of paper"}
    answers = [supervisor.post("/dockets", typed) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert answers[0].headers["location"] == answers[1].headers["location"]
    dockets, consignments = stored(sqlite_database)
    assert (len(dockets), len(consignments)) == (1, 1)


def test_working_out_does_not_use_the_form_up(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    keyed = {"form_key": "one sheet of paper"}
    supervisor.post("/dockets", truck_form(ids, do="net") | keyed)
    assert supervisor.post("/dockets", truck_form(ids) | keyed).status_code == 303
    assert len(stored(sqlite_database)[1]) == 1


def test_a_net_nobody_saw_is_shown_before_it_is_stored(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    answer = supervisor.post("/dockets", truck_form(ids, shown=""))
    assert answer.status_code == 422
    assert "Look at the net below first" in words(parsed(answer))
    assert stored(sqlite_database) == ([], [])


def test_a_net_that_changed_is_shown_again_and_then_saved(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    changed = truck_form(ids, gross_1="450")
    answer = supervisor.post("/dockets", changed)
    page = parsed(answer)
    assert answer.status_code == 422
    assert "The net is another one now than the one you were shown" in words(page, ".notice")
    assert "2 010 kg net" in words(page, "#net")
    assert stored(sqlite_database) == ([], [])
    again = supervisor.post("/dockets", changed | {"shown": typed_in(page, "shown")})
    assert again.status_code == 303
    assert len(stored(sqlite_database)[1]) == 1


def test_a_tare_weighed_meanwhile_shows_the_net_again(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        dry_tare(session, ids.bin_type, ids.person, date(2026, 1, 10), 205_000)
        session.commit()
    answer = supervisor.post("/dockets", truck_form(ids))
    assert answer.status_code == 422
    assert "1 995 kg net" in words(parsed(answer), "#net")


def test_a_change_that_leaves_the_net_as_shown_is_saved_at_once(supervisor: Visitor, ids: Dock) -> None:
    assert supervisor.post("/dockets", truck_form(ids, team="Day team")).status_code == 303


def test_more_rows_keep_what_was_typed_and_refuse_nothing(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    answer = supervisor.post("/dockets", truck_form(ids, do="rows", number="", gross_1="heavy"))
    page = parsed(answer)
    assert answer.status_code == 200
    assert len(page.select('[name^="gross-"]')) == 12
    assert typed_in(page, "rows") == "12"
    assert typed_in(page, "gross-1") == "heavy"
    assert page.select(".error") == []
    assert stored(sqlite_database) == ([], [])


def test_rows_beyond_six_are_read(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    typed = truck_form(ids, rows="12", gross_12="340", shown="1:400000 4:1600000 1:300000")
    assert supervisor.post("/dockets", typed).status_code == 303
    with sqlite_database.reading() as session:
        assert len(session.exec(select(Bin)).all()) == 6


@pytest.mark.parametrize("rows", ["", "no", "-3", "99999999999", "²"])
def test_a_row_count_that_is_none_does_no_harm(supervisor: Visitor, ids: Dock, rows: str) -> None:
    assert supervisor.post("/dockets", truck_form(ids, rows=rows)).status_code == 303


def test_counts_that_differ_are_said_and_not_refused(supervisor: Visitor, ids: Dock) -> None:
    for typed, sentence in {
        "7": "The grower's own count was 7, 2 more than the shed's 5.",
        "4": "The grower's own count was 4, 1 fewer than the shed's 5.",
    }.items():
        answer = supervisor.post("/dockets", truck_form(ids, do="net", grower_bins=typed))
        assert answer.status_code == 200
        assert sentence in words(parsed(answer), "#net")


def test_a_mean_that_does_not_end_is_shown_so_that_it_adds_up(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    """Five empties of 166.667 kg: 33.3334 kg off the one and 133.3336 kg off the four, each net rounded to the gram."""
    with sqlite_database.writing() as session:
        dry_tare(session, ids.bin_type, ids.person, date(2026, 1, 10), 166_667)
        session.commit()
    net = words(parsed(supervisor.post("/dockets", truck_form(ids, do="net"))), "#net")
    assert "440.000 kg 33.333 kg 406.667 kg" in net
    assert "1 760.000 kg 133.334 kg 1 626.666 kg" in net
    assert "2 200.000 kg 166.667 kg 2 033.333 kg" in net


REFUSED = [
    ("number", "", "Fill this in."),
    ("number", "9" * 31, "at most 30 fit"),
    ("received", "", "Fill this in."),
    ("received", "yesterday", "a day and time such as 2026-01-12T06:30 is accepted"),
    ("received", "2199-01-01T06:00", "is still to come; it is"),
    ("received", "9999-12-31T23:59", "is still to come; it is"),
    ("received", "0001-01-01T00:00", "is long ago; a year from 2000 on is accepted"),
    ("block", "", "Choose one."),
    ("block", "4711", "Choose one from the list."),
    ("block", "'; --", "Choose one from the list."),
    ("market", "", "Choose one."),
    ("market", "4711", "Choose one from the list."),
    ("picked-from", "", "Fill this in."),
    ("picked-from", "2026-02-30T06:00", "not in the calendar"),
    ("picked-to", "", "Fill this in."),
    ("picked-to", "2026-01-14T04:00", "The pick ends after the fruit was received, at Wed 14 Jan 2026, 03:20"),
    ("picked-to", "2026-01-13T21:00", "The pick ends before it begins, at Tue 13 Jan 2026, 22:00"),
    ("pulp", "warm", "is not a number"),
    ("pulp", "61", "61 °C is no temperature of fruit just picked; −5 to 60 °C is accepted."),
    ("pulp", "-6", "−6 °C is no temperature of fruit just picked"),
    ("pulp", "300", "is too hot to be true"),
    ("grower-bins", "0", "a whole number from 1 to 999 is accepted"),
    ("grower-bins", "5.5", "is not a whole number"),
    ("team", "x" * 81, "at most 80 fit"),
    ("bins-1", "0", "a whole number from 1 to 60 is accepted"),
    ("bins-1", "many", "is not a number"),
    ("type-1", "", "Choose the bin type."),
    ("type-1", "4711", "not one of the bin types"),
    ("gross-1", "", "Fill this in."),
    ("gross-1", "heavy", "is not a number"),
    ("gross-1", "-440", "less than nothing"),
    ("gross-1", "44000", "44 000 kg is too much; a weight from 1 g to 1 500 kg is accepted."),
    ("gross-1", "39", "39 kg leaves no fruit: 1 empty weighs 40.0 kg by the tare of Thu 1 Jan 2026."),
    ("gross-1", "40", "A gross weight above that is accepted."),
    ("gross-2", "160", "160 kg leaves no fruit: 4 empties weigh 160.0 kg"),
    ("labels-2", "a, b, c, d, e", "5 labels for 4 bins; at most one label a bin is accepted"),
    ("labels-2", "x" * 41, "A label can be 40 letters long"),
]


@pytest.mark.parametrize("do", ["net", "save"])
@pytest.mark.parametrize(("name", "typed", "sentence"), REFUSED)
def test_refuses_by_the_field_and_keeps_what_was_typed(
    supervisor: Visitor, ids: Dock, sqlite_database: Database, name: str, typed: str, sentence: str, do: str
) -> None:
    form = truck_form(ids, do=do)
    if name.startswith(("gross", "type")) and not typed:
        form["labels-1"] = "L1"  # else the row is blank, and blank rows are passed over
    form[name] = typed
    answer = supervisor.post("/dockets", form)
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, name)
    assert one(page, f'.errors a[href="#f-{name}"]')
    assert one(page, f"#f-{name}")["aria-invalid"] == "true"
    if one(page, f'[name="{name}"]').name != "select":
        assert typed_in(page, name) == typed
    assert typed_in(page, "truck") == "Old red"
    assert typed_in(page, "gross-2" if name != "gross-2" else "labels-2") in {"1 760", "A1, A2"}
    assert page.select("#net") == []
    assert stored(sqlite_database) == ([], [])


def test_errors_are_listed_in_the_order_of_the_form(supervisor: Visitor, ids: Dock) -> None:
    page = parsed(
        supervisor.post("/dockets", truck_form(ids, number="", block="", pulp="99", gross_1="1", gross_2="x"))
    )
    listed = [link["href"] for link in page.select(".errors a")]
    assert listed == ["#f-number", "#f-block", "#f-pulp", "#f-gross-1", "#f-gross-2"]


def test_the_list_of_errors_names_the_fields(supervisor: Visitor, ids: Dock) -> None:
    typed = truck_form(ids, number="", block="", picked_from="", pulp="warm", gross_1="1", gross_2="", labels_2="A")
    listed = [link.get_text() for link in parsed(supervisor.post("/dockets", typed)).select(".errors a")]
    assert listed[:3] == ["Docket number: fill this in.", "Block: choose one.", "Picked from: fill this in."]
    assert listed[3].startswith("Pulp temperature: ")
    assert listed[4].startswith("Bin 1, Gross: 1")
    assert listed[5] == "Bins 2–5, Gross: fill this in."


def test_rows_are_called_before_saving_as_after(supervisor: Visitor, ids: Dock) -> None:
    def rows(**changes: str) -> list[str]:
        page = parsed(supervisor.post("/dockets", truck_form(ids, do="net", **changes)))
        return [each.get_text() for each in page.select(".weighing-words")]

    assert rows() == ["Bin 1", "Bins 2–5", "Bin 6", "Bin 7", "Bin 8", "Bin 9"]
    assert rows(bins_3="3") == ["Bin 1", "Bins 2–5", "Bins 6–8", "Bin 9", "Bin 10", "Bin 11"]
    assert rows(gross_4="440")[:4] == ["Bin 1", "Bins 2–5", "Row 3, left blank", "Bin 6"]
    assert [each.get_text() for each in parsed(supervisor.get("/dockets/new")).select(".weighing-words")] == [
        f"Bin {row}" for row in range(1, 7)
    ]


def test_no_bins_is_refused(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    typed = truck_form(ids, gross_1="", gross_2="", bins_2="1", labels_2="", part_2="")
    answer = supervisor.post("/dockets", typed)
    page = parsed(answer)
    assert answer.status_code == 422
    assert "Weighings: no bin was weighed." in words(page, ".errors")
    assert one(page, "#f-weighings")
    assert stored(sqlite_database) == ([], [])


def test_a_market_for_another_fruit_is_refused(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        other = avocado_market(session)
        session.commit()
    answer = supervisor.post("/dockets", truck_form(ids, market=str(other)))
    page = parsed(answer)
    assert answer.status_code == 422
    assert error_at(page, "market") == (
        "Osmere Export has a spec for avocado, and Ridge 3 grows mango; a market for mango is accepted."
    )
    assert typed_in(page, "market") == str(other)
    assert (
        supervisor.post("/dockets", truck_form(ids, market=str(other), block=str(ids.avocado_block))).status_code == 303
    )


def test_a_bin_type_without_a_tare_on_the_day_is_refused(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    typed = truck_form(ids, received="2025-12-31T23:00")
    typed |= {"picked-from": "2025-12-31T05:00", "picked-to": "2025-12-31T09:00"}
    page = parsed(supervisor.post("/dockets", typed))
    assert error_at(page, "type-1").startswith(
        "Half-ton plastic has no dry tare weighed on or before Wed 31 Dec 2025. Weigh some empties"
    )
    assert stored(sqlite_database) == ([], [])


def test_a_taken_number_offers_the_docket_that_has_it(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    supervisor.post("/dockets", truck_form(ids))
    [docket], _ = stored(sqlite_database)
    answer = supervisor.post("/dockets", truck_form(ids, team="Day team"))
    page = parsed(answer)
    assert answer.status_code == 422
    assert "Docket 1042 is in the books already" in error_at(page, "number")
    offer = one(page, "form.intake .notice button")
    assert offer.get_text(strip=True) == "Put it on docket 1042"
    taken_up = supervisor.post(str(offer["formaction"]).partition("#")[0], truck_form(ids, do="net", team="Day team"))
    assert taken_up.status_code == 200
    assert "Another consignment on docket 1042" in words(parsed(taken_up))
    assert typed_in(parsed(taken_up), "team") == "Day team"
    assert supervisor.post(f"/dockets/{docket.id}/consignments", other_weights(ids)).status_code == 303
    dockets, consignments = stored(sqlite_database)
    assert (len(dockets), [each.line for each in consignments]) == (1, [1, 2])


def test_save_and_another_goes_on_with_the_dockets_header(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    answer = supervisor.post("/dockets", truck_form(ids, do="another"))
    [docket], _ = stored(sqlite_database)
    assert answer.headers["location"] == f"/dockets/{docket.id}/consignments/new"
    page = parsed(supervisor.get(answer.headers["location"]))
    assert "Docket 1042 , truck Old red , received Wed 14 Jan 2026, 03:20." in words(page)
    assert typed_in(page, "received") == "2026-01-14T03:20"
    assert page.select('[name="number"]') == []
    assert one(page, "form.intake")["action"] == f"/dockets/{docket.id}/consignments"


def test_a_further_consignment_is_refused_like_the_first_and_stored_once(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    supervisor.post("/dockets", truck_form(ids))
    [docket], _ = stored(sqlite_database)
    address = f"/dockets/{docket.id}/consignments"
    refused = supervisor.post(address, truck_form(ids, gross_1="39"))
    assert refused.status_code == 422
    assert "leaves no fruit" in error_at(parsed(refused), "gross-1")
    typed = other_weights(ids) | {"form_key": "second sheet"}
    assert [supervisor.post(address, typed).status_code for _ in range(2)] == [303, 303]
    assert [each.line for each in stored(sqlite_database)[1]] == [1, 2]


def test_a_docket_says_what_came_on_it(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    supervisor.post("/dockets", truck_form(ids))
    [docket], [consignment] = stored(sqlite_database)
    supervisor.post(f"/dockets/{docket.id}/consignments", other_weights(ids))
    page = parsed(supervisor.get(f"/dockets/{docket.id}"))
    assert "4 000 kg on docket 1042, in 2 consignments" in words(page, "h1").replace(" ,", ",")
    assert [link["href"] for link in page.select(".list-rows a")] == [
        f"/consignments/{consignment.id}",
        f"/consignments/{(consignment.id or 0) + 1}",
    ]
    assert one(page, "main a.act")["href"] == f"/dockets/{docket.id}/consignments/new"


ROUTES = ["/dockets/4711", "/dockets/0", "/dockets/99999999999", "/dockets/x", "/dockets/4711/consignments/new"]


@pytest.mark.parametrize("address", ROUTES)
def test_an_unknown_docket_is_not_here(supervisor: Visitor, ids: Dock, address: str) -> None:
    assert supervisor.get(address).status_code == 404
    assert supervisor.post("/dockets/4711/consignments", truck_form(ids)).status_code == 404


def test_growers_see_the_docket_of_their_own_fruit_only(ids: Dock, sqlite_database: Database) -> None:
    a_consignment(sqlite_database, ids)
    [docket], _ = stored(sqlite_database)
    with sqlite_database.writing() as session:
        other = season.grower(session, "Second")
        session.commit()
    own = visitor(sqlite_database, Role.GROWER, grower_id=ids.grower)
    page = parsed(own.get(f"/dockets/{docket.id}"))
    assert "1042-1" in words(page)
    assert page.select("main a.act") == []
    stranger = visitor(sqlite_database, Role.GROWER, grower_id=other)
    assert stranger.get(f"/dockets/{docket.id}").status_code == 404


@pytest.mark.parametrize("role", [Role.GRADER, Role.MARKETER, Role.GROWER])
def test_only_who_receives_may(ids: Dock, sqlite_database: Database, role: Role) -> None:
    key = a_consignment(sqlite_database, ids)
    with sqlite_database.reading() as session:
        docket_id = session.get_one(Consignment, key).docket_id
    someone = visitor(sqlite_database, role, grower_id=ids.grower if role is Role.GROWER else None)
    assert someone.get("/dockets/new").status_code == 403
    assert someone.post("/dockets", truck_form(ids)).status_code == 403
    assert someone.get(f"/dockets/{docket_id}/consignments/new").status_code == 403
    assert someone.post(f"/dockets/{docket_id}/consignments", truck_form(ids)).status_code == 403
    assert len(stored(sqlite_database)[1]) == 1


def test_a_form_from_another_site_is_refused(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    elsewhere = {"origin": "http://elsewhere.example"}
    assert supervisor.post("/dockets", truck_form(ids), headers=elsewhere).status_code == 403
    assert supervisor.post("/dockets/1/consignments", truck_form(ids), headers=elsewhere).status_code == 403
    assert stored(sqlite_database) == ([], [])


def test_what_was_typed_is_shown_as_text(supervisor: Visitor, ids: Dock) -> None:
    page = parsed(supervisor.post("/dockets", truck_form(ids, do="net", truck="<b>Old</b>", labels_2="<i>A</i>")))
    assert typed_in(page, "truck") == "<b>Old</b>"
    assert "<i>A</i>" in words(page, "#net")
