"""The packers' scale: one word a tray, three answers a label, by the rules that the shed has set."""

import pytest

from shedgrade.domain.people import Person, Role
from shedgrade.storage.database import Database
from shedgrade.storage.runs import run_for
from tests.support.bench import Bench
from tests.support.visitor import Visitor, error_at, one, parsed, visitor, words

MANAGER = Person(1, "", frozenset({Role.MANAGER}))
TARE = "0.43"


@pytest.fixture
def supervisor(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


@pytest.fixture
def scale(supervisor: Visitor, made: Bench) -> str:
    """The address of the scale of a run of three bins into 7 kg trays."""
    form = {"consignment": str(made.consignment), "kind": "packing", "tray": str(made.tray), "breaks": "net"}
    return str(supervisor.post("/runs", form).headers["location"]) + "/weights"


def first_key(person: Visitor, scale: str) -> str:
    return str(parsed(person.get(scale)).select('select[name="cell"] option[value]:not([value=""])')[0]["value"])


def weigh(person: Visitor, scale: str, gross: str, key: str = "") -> int:
    typed = {"cell": first_key(person, scale), "gross": gross, "tare": TARE, "entry_key": key}
    return int(person.post(scale, typed).status_code)


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")


# The label is 7 000 g. Australia 2009, 4.36(4): T of 1 to 10 kg is 1.5 %, so 105 g, and 2 T are 210 g; from there on a
# tray must not leave. RIGHT is up to 150 g over it, our own choice.
@pytest.mark.parametrize(
    ("gross", "says"),
    [
        ("7.43", "RIGHT, just the label"),
        ("7.58", "RIGHT, 150 g more than the label"),
        ("7.581", "OVER, 151 g more than the label"),
        ("7.429", "UNDER, 1 g less than the label"),
        ("7.22", "UNDER, 210 g less than the label."),
        ("7.219", "UNDER, 211 g less than the label: it must not leave as it is"),
    ],
)
def test_one_word_is_said_of_a_tray(supervisor: Visitor, scale: str, gross: str, says: str) -> None:
    assert weigh(supervisor, scale, gross) == 303
    page = parsed(supervisor.get(scale))
    assert says in plain(words(page))
    assert one(page, "h1").text.split()[0] == says.split(",", maxsplit=1)[0]


def test_three_answers_are_given_and_never_one(supervisor: Visitor, scale: str, sqlite_database: Database) -> None:
    run = scale.removesuffix("/weights")
    supervisor.post(f"{run}/trays", {"line": "a12 x120", "entry_key": "packed"})
    for number, gross in enumerate(("7.55", "7.50", "7.30", "7.21")):
        weigh(supervisor, scale, gross, f"tray {number}")
    page = parsed(supervisor.get(scale))
    average, short, single = (plain(each.text) for each in page.select(".three-answers li"))
    # Of 120 trays the plan weighs more than these four, so two answers wait; one tray short by more than 2 T is final.
    assert "not enough" in average
    assert "2 of 4 trays are short by more than 105 g" in short
    assert "fails" in single
    assert "4 weighed of 120 packed" in plain(words(page))
    assert "OK" not in words(page)
    with sqlite_database.reading() as session:
        (tally,) = run_for(session, MANAGER, int(run.rsplit("/", 1)[1])).state.cells.values()
    assert (tally.trays, tally.weights.n, tally.weights.short) == (120, 4, 2)


def test_the_same_tap_is_stored_once_and_undone_as_a_whole(supervisor: Visitor, scale: str) -> None:
    assert weigh(supervisor, scale, "7.5", "once") == 303
    assert weigh(supervisor, scale, "7.5", "once") == 303
    assert weigh(supervisor, scale, "7.6", "once") == 409
    page = parsed(supervisor.get(scale))
    assert len(page.select(".run-entries li")) == 1
    number = str(one(page, ".undo input[name=number]")["value"])
    undone = supervisor.post(f"{scale.removesuffix('weights')}taking-back", {"number": number, "from": "weights"})
    assert undone.headers["location"] == scale
    assert "No tray is weighed yet" in words(parsed(supervisor.get(scale)))


def test_the_next_tray_stands_on_the_same_empty_one(supervisor: Visitor, scale: str) -> None:
    weigh(supervisor, scale, "7.5")
    page = parsed(supervisor.get(scale))
    assert one(page, "#f-tare")["value"] == TARE
    assert one(page, 'select[name="cell"] option[selected]')["value"] == first_key(supervisor, scale)


@pytest.mark.parametrize(("gross", "tare"), [("0.4", "0.43"), ("", "0.43"), ("heavy", "0.43"), ("7.4", "")])
def test_what_no_tray_weighs_is_refused_beside_its_field(
    supervisor: Visitor, scale: str, gross: str, tare: str
) -> None:
    typed = {"cell": first_key(supervisor, scale), "gross": gross, "tare": tare}
    answer = supervisor.post(scale, typed)
    assert answer.status_code == 422
    page = parsed(answer)
    assert error_at(page, "tare" if not tare else "gross")
    assert one(page, "#f-gross")["value"] == gross


def test_the_shed_chooses_the_rules(sqlite_database: Database, supervisor: Visitor, scale: str) -> None:
    manager = visitor(sqlite_database, Role.MANAGER)
    form = parsed(manager.get("/settings/label-rules/new"))
    day, version = (str(one(form, f'[name="{name}"]')["value"]) for name in ("valid_from", "version"))
    typed = {"valid_from": day, "version": version, "source": "sold there"}
    wrong = manager.post("/settings/label-rules", {**typed, "value": "the moon"})
    assert wrong.status_code == 422
    assert "One of: Australia 2009" in words(parsed(wrong))
    assert manager.post("/settings/label-rules", {**typed, "value": "new zealand 1999"}).status_code == 303
    weigh(supervisor, scale, "7.5")
    assert "New Zealand 1999" in words(parsed(supervisor.get(scale)))


def test_a_grader_sees_it_and_weighs_nothing(grader: Visitor, scale: str) -> None:
    assert not parsed(grader.get(scale)).select("main form")
    assert grader.post(scale, {"gross": "7.5"}).status_code == 403
