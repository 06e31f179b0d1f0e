"""Runs on their pages: started, packed, taken back, paused, cleared, finished, voided, refused."""

import pytest

from shedgrade.domain.people import Person, Role
from shedgrade.domain.run.events import Break
from shedgrade.storage.database import Database
from shedgrade.storage.runs import RunWhole, run_for
from tests.support.bench import Bench
from tests.support.visitor import Visitor, error_at, one, parsed, visitor, words

MANAGER = Person(1, "", frozenset({Role.MANAGER}))


@pytest.fixture
def supervisor(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


def start_form(made: Bench, **other: str) -> dict[str, str]:
    return {
        "consignment": str(made.consignment),
        "kind": "packing",
        "tray": str(made.tray),
        "breaks": "net",
        "rule": "net",
        **other,
    }


@pytest.fixture
def run(supervisor: Visitor, made: Bench) -> str:
    """The address of a run of three bins into 7 kg trays."""
    answer = supervisor.post("/runs", start_form(made))
    assert answer.status_code == 303
    return str(answer.headers["location"])


def stored(database: Database, run: str) -> RunWhole:
    with database.reading() as session:
        return run_for(session, MANAGER, int(run.rsplit("/", 1)[1]))


def a_key(person: Visitor, run: str, count: int, row: int = 0) -> str:
    """What the plus key of a count sends, in the row of a class."""
    row_of_keys = parsed(person.get(run)).select(".tally-class")[row]
    return next(str(key["value"]) for key in row_of_keys.select("button") if str(key["value"]).endswith(f"|{count}"))


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")


def test_a_run_starts_with_breaks_at_net_over_count(
    supervisor: Visitor, made: Bench, sqlite_database: Database
) -> None:
    form = parsed(supervisor.get(f"/runs/new?consignment={made.consignment}"))
    assert one(form, f'input[name="tray"][value="{made.tray}"]').has_attr("checked")
    run = supervisor.post("/runs", start_form(made)).headers["location"]
    # 7 000 g over 12, 14, 16, 18 and 20, each up to the next gram: the arithmetic of trade.md's rule "never short".
    edges = {12: 5840, 14: 5000, 16: 4380, 18: 3890, 20: 3500}
    breaks = stored(sqlite_database, run).state.stretch.breaks
    assert set(breaks) == {Break(made.tray, count, edge) for count, edge in edges.items()}
    assert "0 of 3 bins tipped, 0 trays packed" in plain(words(parsed(supervisor.get(run))))
    assert "Packing 1042-1" in words(parsed(supervisor.get("/runs")))
    assert run in supervisor.get(f"/consignments/{made.consignment}").text


def test_a_tap_is_one_tray_however_often_it_is_sent(supervisor: Visitor, run: str, sqlite_database: Database) -> None:
    key = a_key(supervisor, run, 16)
    for entry_key in ("one", "one", "two"):
        answer = supervisor.post(f"{run}/trays", {"cell": key, "entry_key": entry_key}, headers={"hx-request": "true"})
        assert answer.status_code == 200
    assert stored(sqlite_database, run).state.trays == 2
    other = {"cell": a_key(supervisor, run, 18), "entry_key": "one"}
    assert supervisor.post(f"{run}/trays", other).status_code == 409
    assert stored(sqlite_database, run).state.trays == 2


@pytest.mark.parametrize(
    ("line", "trays"),
    [
        ("a16", {(16,): 1}),
        (" A 16 ", {(16,): 1}),
        ("a16 x3", {(16,): 3}),
        ("a-16 12", {(16,): 12}),
        ("a18+16", {(16, 18): 1}),
    ],
)
def test_a_line_is_typed_or_scanned(
    supervisor: Visitor, run: str, sqlite_database: Database, line: str, trays: dict[tuple[int, ...], int]
) -> None:
    assert supervisor.post(f"{run}/trays", {"line": line, "entry_key": "k"}).status_code == 303
    cells = stored(sqlite_database, run).state.cells
    assert {cell.counts: tally.trays for cell, tally in cells.items()} == trays


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("", "Fill this in."),
        ("z16", "Type the letter of a row"),
        ("16", "Type the letter of a row"),
        ("a17", "is packed in counts 12, 14, 16, 18, 20."),
        ("a16 x0", "From 1 to 200 trays"),
    ],
)
def test_a_line_that_says_nothing_is_answered_with_what_would(
    supervisor: Visitor, run: str, sqlite_database: Database, line: str, says: str
) -> None:
    answer = supervisor.post(f"{run}/trays", {"line": line, "entry_key": "k"})
    assert answer.status_code == 422
    page = parsed(answer)
    assert says in one(page, "#f-line-error").text
    assert one(page, "#f-line")["value"] == line
    assert stored(sqlite_database, run).state.trays == 0


def test_the_last_entry_is_undone_by_a_counter_entry(supervisor: Visitor, run: str, sqlite_database: Database) -> None:
    supervisor.post(f"{run}/trays", {"line": "a16 x3", "entry_key": "k"})
    number = str(one(parsed(supervisor.get(run)), ".undo input[name=number]")["value"])
    some = supervisor.post(f"{run}/taking-back", {"number": number, "trays-back": "1", "from": "line"})
    assert some.status_code == 303
    assert stored(sqlite_database, run).state.trays == 2
    assert supervisor.post(f"{run}/taking-back", {"number": number}).status_code == 303
    assert stored(sqlite_database, run).state.trays == 0
    again = supervisor.post(f"{run}/taking-back", {"number": number, "trays-back": "9"})
    assert again.status_code == 422
    assert "Of these 3 trays none is left to take back." in words(parsed(again))
    assert "taken back: 2 trays" in words(parsed(supervisor.get(f"{run}/line")))


def test_no_more_bins_are_tipped_than_came(supervisor: Visitor, run: str, made: Bench) -> None:
    form = {"bins-load": str(made.consignment), "bins": "2"}
    assert supervisor.post(f"{run}/bins", form).status_code == 303
    refused = supervisor.post(f"{run}/bins", form)
    assert refused.status_code == 422
    assert error_at(parsed(refused), "bins") == "Of 1042-1 1 bin is left to tip."


def test_a_whole_run_from_pause_to_finish(
    supervisor: Visitor, run: str, made: Bench, sqlite_database: Database
) -> None:
    supervisor.post(f"{run}/bins", {"bins-load": str(made.consignment), "bins": "3"})
    supervisor.post(f"{run}/pausing", {"why": "no bins"})
    assert "the line stands still" in words(parsed(supervisor.get(run)))
    supervisor.post(f"{run}/going-on")
    outlet = str(parsed(supervisor.get(run)).select('input[name="place"]')[0]["value"])
    supervisor.post(f"{run}/loose", {"place": outlet, "loose-net": "12.5"})
    supervisor.post(f"{run}/samples", {"sample-way": "out", "sample-fruit": "20", "sample-net": "8.6"})
    supervisor.post(f"{run}/stations", {"station-person": str(made.grader), "station": "sorting table"})
    supervisor.post(f"{run}/breaks", {f"break-{made.tray}-16": "430", "breaks-why": "trays too heavy"})
    early = supervisor.post(f"{run}/finishing")
    assert early.status_code == 422
    assert "Clear the line first" in words(parsed(early))
    left = {"left-what-1": "loose", "left-goes-1": outlet, "left-net-1": "11.4"}
    assert supervisor.post(f"{run}/clearing", left).status_code == 303
    note = plain(words(parsed(supervisor.get(f"{run}/line")), "#note"))
    assert "3 bins tipped, 0 left" in note
    assert "The line was cleared at" in note
    assert supervisor.post(f"{run}/finishing").status_code == 303
    state = stored(sqlite_database, run).state
    assert state.finished_at is not None
    assert [each.number for each in state.stretches] == [1, 2]
    assert (state.taken.fruit, state.taken.net_g) == (20, 8600)
    assert [(each.station, each.until) for each in state.stations] == [("sorting table", state.finished_at)]
    late = supervisor.post(f"{run}/trays", {"line": "a16", "entry_key": "late"})
    assert late.status_code == 422


def test_what_was_typed_stays_beside_what_is_wrong(supervisor: Visitor, run: str) -> None:
    answer = supervisor.post(f"{run}/loose", {"place": "nowhere|", "loose-net": "heavy"})
    assert answer.status_code == 422
    page = parsed(answer)
    assert one(page, "#f-loose-net")["value"] == "heavy"
    assert error_at(page, "loose-net")
    left = supervisor.post(f"{run}/clearing", {"left-what-1": "loose", "left-net-1": "much"})
    assert left.status_code == 422
    assert error_at(parsed(left), "left-goes-1")


def test_a_run_that_cannot_start_says_why(supervisor: Visitor, made: Bench) -> None:
    answer = supervisor.post("/runs", {**start_form(made), "tray": "", "kind": "packing"})
    assert answer.status_code == 422
    assert "Choose at least one tray type" in words(parsed(answer))


def test_a_voided_run_gives_its_bins_back_and_only_then_can_its_consignment_be_voided(
    supervisor: Visitor, run: str, made: Bench
) -> None:
    supervisor.post(f"{run}/bins", {"bins-load": str(made.consignment), "bins": "3"})
    voiding = f"/consignments/{made.consignment}/voiding"
    held = supervisor.post(voiding, {"reason": "twice"})
    assert held.status_code == 409
    assert "This consignment is in a run that counts." in words(parsed(held))
    assert supervisor.post(f"{run}/voiding", {"reason": "wrong load"}).status_code == 303
    assert "Voided by" in words(parsed(supervisor.get(run)))
    again = supervisor.post("/runs", start_form(made)).headers["location"]
    assert "0 of 3 bins tipped" in plain(words(parsed(supervisor.get(again))))
    supervisor.post(f"{again}/voiding", {"reason": "only looked"})
    assert supervisor.post(voiding, {"reason": "twice"}).status_code == 303


def test_a_grader_reads_and_enters_nothing(grader: Visitor, run: str) -> None:
    assert not parsed(grader.get(run)).select("main form, main button")
    assert not parsed(grader.get(f"{run}/line")).select("main form, main button")
    assert grader.post(f"{run}/trays", {"line": "a16"}).status_code == 403


def test_a_grower_sees_no_run(grower: Visitor, run: str) -> None:
    assert grower.get(run).status_code == 403
    assert grower.get("/runs").status_code == 403
