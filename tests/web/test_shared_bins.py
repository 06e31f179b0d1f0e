"""Outlet bins that several runs fill: opened, added to, weighed, shared out to the gram, refused."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.domain.run import events as say
from shedgrade.storage.database import Database
from shedgrade.storage.tables import SharedBinRow
from tests.support.runs import at
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words
from tests.support.worked_run import Worked, begun, entered


@pytest.fixture
def supervisor(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


@pytest.fixture
def two(sqlite_database: Database) -> tuple[Worked, Worked]:
    """Two open runs: 3 bins and 1 bin of 400 kg tipped."""
    with sqlite_database.writing() as session:
        first = begun(session, number="1042")
        found = (first, begun(session, number="1043", beside=first))
        for worked, bins in zip(found, (3, 1), strict=True):
            entered(session, worked, [say.BinsTipped(at(1), worked.load, bins)])
        session.commit()
    return found


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")


def opened(person: Visitor, run: int) -> str:
    """The address of a bin for processing, opened from a run's balance."""
    assert f"/shared-bins?run={run}" in person.get(f"/runs/{run}/balance").text
    form = parsed(person.get(f"/shared-bins?run={run}"))
    assert typed_in(form, "rule") == "net"
    answer = person.post("/shared-bins", {"outlet": "processing", "label": "7", "rule": "net", "run": str(run)})
    assert answer.status_code == 303
    return str(answer.headers["location"])


def test_a_bin_of_two_runs_is_shared_when_it_is_weighed(supervisor: Visitor, two: tuple[Worked, Worked]) -> None:
    address = opened(supervisor, two[0].run)
    for worked in two:
        assert supervisor.post(f"{address}/runs", {"of-run": str(worked.run)}).status_code == 303
    balance = plain(words(parsed(supervisor.get(f"/runs/{two[0].run}/balance"))))
    assert "A shared bin for processing is not weighed yet" in balance
    page = parsed(supervisor.get(address))
    assert not page.select('[name="of-run"]')
    form = {"gross": "441", "tare": "41", "version": typed_in(page, "version")}
    assert supervisor.post(f"{address}/weight", form).status_code == 303
    # By hand: 400 kg by 1 200 and 400 kg of net tipped are 300 and 100 kg.
    said = plain(words(parsed(supervisor.get(address))))
    assert "Processing bin 7 holds 400 kg, filled by 2 runs" in said
    assert "1042-1 3 300.0 kg 1043-1 1 100.0 kg" in said
    balance = plain(words(parsed(supervisor.get(f"/runs/{two[1].run}/balance"))))
    assert "Processing 100 kg 100 kg 25.0 % share of a bin filled by several runs" in balance
    assert "not weighed yet" not in balance


@pytest.mark.parametrize(
    ("gross", "tare", "field", "sentence"),
    [
        ("41", "41", "gross", "weighs more with its fruit than empty"),
        ("", "41", "gross", "Fill this in."),
        ("441", "x", "tare", "kg"),
    ],
)
def test_a_weight_that_cannot_be_is_refused_and_stays(
    supervisor: Visitor, two: tuple[Worked, Worked], gross: str, tare: str, field: str, sentence: str
) -> None:
    address = opened(supervisor, two[0].run)
    answer = supervisor.post(f"{address}/weight", {"gross": gross, "tare": tare, "version": "1"})
    assert answer.status_code == 422
    page = parsed(answer)
    assert sentence in error_at(page, field)
    assert (typed_in(page, "gross"), typed_in(page, "tare")) == (gross, tare)


def test_a_weight_saved_meanwhile_is_shown(
    supervisor: Visitor, two: tuple[Worked, Worked], sqlite_database: Database
) -> None:
    address = opened(supervisor, two[0].run)
    assert supervisor.post(f"{address}/weight", {"gross": "441", "tare": "41", "version": "1"}).status_code == 303
    late = supervisor.post(f"{address}/weight", {"gross": "451", "tare": "41", "version": "1"})
    assert late.status_code == 409
    assert "Stored now: 400 kg" in plain(words(parsed(late)))
    assert supervisor.post(
        f"{address}/weight", {"gross": "451", "tare": "41", "version": typed_in(parsed(late), "version")}
    )
    with sqlite_database.reading() as session:
        assert session.get_one(SharedBinRow, int(address.rsplit("/", 1)[1])).gross_g == 451_000


def test_what_is_not_on_the_forms_is_refused(supervisor: Visitor, two: tuple[Worked, Worked]) -> None:
    answer = supervisor.post("/shared-bins", {"outlet": "nowhere", "rule": "parts"})
    assert answer.status_code == 422
    assert "not one of the choices" in error_at(parsed(answer), "outlet")
    assert "not one of the choices" in error_at(parsed(answer), "rule")
    address = opened(supervisor, two[0].run)
    assert supervisor.post(f"{address}/runs", {"of-run": "999"}).status_code == 422
    assert supervisor.get("/shared-bins/999").status_code == 404


def test_a_grader_looks_and_changes_nothing(
    supervisor: Visitor, two: tuple[Worked, Worked], sqlite_database: Database
) -> None:
    address = opened(supervisor, two[0].run)
    grader = visitor(sqlite_database, Role.GRADER)
    assert not one(parsed(grader.get(address)), "main").select("form")
    assert not one(parsed(grader.get("/shared-bins")), "main").select("form")
    assert grader.post(f"{address}/weight", {"gross": "4", "tare": "1", "version": "1"}).status_code == 403
