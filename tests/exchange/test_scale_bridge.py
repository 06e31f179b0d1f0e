"""The bridge at a scale: a pseudo-terminal stands for its cable, and a real server for the shed."""

import os
import socket
import stat
import threading
import time
import tty
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import pytest
import uvicorn
from sqlmodel import select
from typer.testing import CliRunner

from shedgrade.actions.scales import end, show_code
from shedgrade.actions.sign_ins import sign_in
from shedgrade.cli import app as command
from shedgrade.domain.scales import LATE_AFTER
from shedgrade.exchange import scale_bridge
from shedgrade.exchange.scale_bridge import SerialSaid, feed
from shedgrade.exchange.scale_link import MOST_KEPT, NotPairedError, Outbox, RefusedError, ShedLine, Weight
from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.storage.scales import BenchPlace
from shedgrade.storage.tables import PersonRow, Scale, ScaleReading
from shedgrade.web.app import create_app
from tests.support.serving import serve

PATIENCE_S = 15
PAUSE_S = 0.5
"""After it the bridge knows that a line which begins is whole."""


class Cable(NamedTuple):
    """Both ends of a cable: what the scale writes to, and the device the bridge opens."""

    scale: int
    device: str

    def sends(self, *lines: str) -> None:
        for line in lines:
            os.write(self.scale, f"{line}\r\n".encode())
            time.sleep(0.02)


@pytest.fixture
def cable() -> Iterator[Cable]:
    scale, bridge = os.openpty()
    tty.setraw(scale)
    yield Cable(scale, os.ttyname(bridge))
    os.close(scale)
    os.close(bridge)


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder in which the bridge keeps its token."""
    folder = tmp_path / "data"
    folder.mkdir()
    monkeypatch.setattr(scale_bridge, "data_folder", lambda: folder)
    return folder


@pytest.fixture
def shed(sqlite_database: Database) -> Iterator[str]:
    with serve(create_app(Settings(database=sqlite_database.url), sqlite_database)) as address:
        yield address


@pytest.fixture
def code(sqlite_database: Database) -> str:
    """What a bench shows."""
    with sqlite_database.writing() as session:
        person = PersonRow(name="Ada Thorne")
        session.add(person)
        session.flush()
        now = datetime.now(UTC)
        opened = sign_in(session, person.id or 0, "a browser", now)
        shown = show_code(session, BenchPlace(None, opened.id), person.id or 0, now).code
        session.commit()
    return shown


class Running(NamedTuple):
    thread: threading.Thread
    stopped: threading.Event
    exit_codes: list[int]

    def stop(self) -> int:
        self.stopped.set()
        self.thread.join(PATIENCE_S)
        assert not self.thread.is_alive()
        return self.exit_codes[0]


def start(
    shed: str, device: str, code: str = "", ask: Callable[[], str] = lambda: "nobody is asked", **said: str
) -> Running:
    stopped, exit_codes = threading.Event(), list[int]()

    def run() -> None:
        told = SerialSaid(device, **said)  # type: ignore[arg-type]
        exit_codes.append(feed(shed, told, code, ask, stopped=stopped))

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    return Running(thread, stopped, exit_codes)


def readings(database: Database) -> list[ScaleReading]:
    with database.reading() as session:
        return list(session.exec(select(ScaleReading).order_by(ScaleReading.id)))  # type: ignore[arg-type]


def wait_for(is_so: Callable[[], bool]) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < deadline
        time.sleep(0.05)


STREAM = ["ST,GS,+    0.0 g"] * 3 + ["US,GS,+  300.0 g"] * 2 + ["ST,GS,+  412.5 g"] * 5 + ["ST,GS,+    0.0 g"] * 2


def test_what_is_put_on_the_scale_reaches_the_bench_once(
    cable: Cable, shed: str, code: str, sqlite_database: Database
) -> None:
    bridge = start(shed, cable.device, code)
    wait_for(lambda: bool(list_scales(sqlite_database)))
    time.sleep(PAUSE_S)
    cable.sends(*STREAM, *(line.replace("412.5", "398.0") for line in STREAM))
    wait_for(lambda: len(readings(sqlite_database)) == 2)
    time.sleep(0.3)
    found = readings(sqlite_database)
    assert [(each.weight_dg, each.number, each.waits) for each in found] == [(4125, 1, False), (3980, 2, False)]
    assert bridge.stop() == 0


@pytest.mark.parametrize("before", [b"ST,GS,+  500.0 g\r\nST,GS,+  300.0 g\r\n", b"2.5 g\r\n"])
def test_what_came_before_it_listened_is_old_or_cut_and_no_weight(
    cable: Cable, shed: str, code: str, sqlite_database: Database, before: bytes
) -> None:
    """It comes while the code is typed, the port being open already."""

    def ask() -> str:
        os.write(cable.scale, before)
        return code

    bridge = start(shed, cable.device, ask=ask)
    wait_for(lambda: bool(list_scales(sqlite_database)))
    time.sleep(2)  # a line that nothing comes after would have been sent by now
    cable.sends("398.0 g")
    wait_for(lambda: bool(readings(sqlite_database)))
    assert [each.weight_dg for each in readings(sqlite_database)] == [3980]
    assert bridge.stop() == 0


def list_scales(database: Database) -> list[str]:
    with database.reading() as session:
        return [each.name for each in session.exec(select(Scale))]


def test_it_goes_on_after_a_restart_without_a_code(
    cable: Cable, shed: str, code: str, sqlite_database: Database, data: Path
) -> None:
    bridge = start(shed, cable.device, code)
    wait_for(lambda: bool(list(data.iterdir())))
    bridge.stop()
    (kept,) = data.iterdir()
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    again = start(shed, cable.device)
    time.sleep(PAUSE_S)
    cable.sends(*STREAM)
    wait_for(lambda: len(readings(sqlite_database)) == 1)
    assert again.stop() == 0
    assert len(list_scales(sqlite_database)) == 1


def test_kilograms_without_a_unit(cable: Cable, shed: str, code: str, sqlite_database: Database) -> None:
    bridge = start(shed, cable.device, code, unit="kg")
    wait_for(lambda: bool(list_scales(sqlite_database)))
    time.sleep(PAUSE_S)
    cable.sends("0.4125")
    wait_for(lambda: [each.weight_dg for each in readings(sqlite_database)] == [4125])
    bridge.stop()


def test_once_the_pairing_is_ended_it_stops_with_a_sentence(
    cable: Cable, shed: str, code: str, sqlite_database: Database, capfd: pytest.CaptureFixture[str]
) -> None:
    bridge = start(shed, cable.device, code)
    wait_for(lambda: bool(list_scales(sqlite_database)))
    with sqlite_database.writing() as session:
        scale = session.exec(select(Scale)).one()
        end(session, scale, scale.paired_by_id, datetime.now(UTC))
        session.commit()
    time.sleep(PAUSE_S)
    cable.sends(*STREAM)
    bridge.thread.join(PATIENCE_S)
    assert bridge.exit_codes == [1]
    assert "does not know this scale any more" in capfd.readouterr().err
    assert readings(sqlite_database) == []


def test_and_the_next_start_asks_for_a_new_code(
    cable: Cable, shed: str, code: str, sqlite_database: Database, data: Path
) -> None:
    bridge = start(shed, cable.device, code)
    wait_for(lambda: bool(list(data.iterdir())))
    with sqlite_database.writing() as session:
        scale = session.exec(select(Scale)).one()
        person_id, place = scale.paired_by_id, BenchPlace(None, scale.sign_in_id)
        end(session, scale, person_id, datetime.now(UTC))
        new_code = show_code(session, place, person_id, datetime.now(UTC)).code
        session.commit()
    time.sleep(PAUSE_S)
    cable.sends(*STREAM)
    bridge.thread.join(PATIENCE_S)
    again = start(shed, cable.device, ask=lambda: new_code)
    wait_for(lambda: len(list_scales(sqlite_database)) == 2)
    time.sleep(PAUSE_S)
    cable.sends(*STREAM)
    wait_for(lambda: [each.weight_dg for each in readings(sqlite_database)] == [4125])
    assert again.stop() == 0


def test_weights_taken_while_the_shed_is_away_come_later_in_order_and_wait(
    code: str, sqlite_database: Database
) -> None:
    """Told by a clock in the test's hand: five seconds pass before the shed is back."""
    app = create_app(Settings(database=sqlite_database.url), sqlite_database)
    now_s, said = [100.0], list[str]()
    with serve(app) as address:
        token = ShedLine(address).pair(code, "Scale")
        port = int(address.rsplit(":", 1)[1])
    outbox = Outbox(ShedLine(f"http://127.0.0.1:{port}"), token, said.append, lambda: now_s[0], again_after_s=0.05)
    stopped = threading.Event()
    sender = threading.Thread(target=outbox.run, args=(stopped,), daemon=True)
    sender.start()
    outbox.put(4125, 100.0)
    outbox.put(3980, 103.0)
    wait_for(lambda: bool(said))
    assert "out of reach" in said[0]
    now_s[0] = 108.5
    with ServedAt(sqlite_database, port):
        wait_for(lambda: len(readings(sqlite_database)) == 2)
        outbox.put(5000, 108.0)
        wait_for(lambda: len(readings(sqlite_database)) == 3)
    stopped.set()
    sender.join(PATIENCE_S)
    found = readings(sqlite_database)
    assert [(each.weight_dg, each.waits) for each in found] == [(4125, True), (3980, True), (5000, False)]
    apart = [(after.read_at - before.read_at).total_seconds() for before, after in pairwise(found)]
    assert apart == [pytest.approx(3, abs=0.5), pytest.approx(5, abs=0.5)]
    assert said.count("The shed is back.") == 1


def test_the_bridge_outlives_a_shed_that_is_away(
    cable: Cable, code: str, sqlite_database: Database, capfd: pytest.CaptureFixture[str]
) -> None:
    """What was weighed meanwhile comes once, in order; longer ago than the bench would put in by itself, it waits."""
    with serve(create_app(Settings(database=sqlite_database.url), sqlite_database)) as address:
        bridge = start(address, cable.device, code)
        wait_for(lambda: bool(list_scales(sqlite_database)))
        time.sleep(PAUSE_S)
    cable.sends(*STREAM, *(line.replace("412.5", "398.0") for line in STREAM))
    time.sleep(LATE_AFTER.total_seconds() + 0.5)
    assert readings(sqlite_database) == []
    with ServedAt(sqlite_database, int(address.rsplit(":", 1)[1])):
        wait_for(lambda: len(readings(sqlite_database)) == 2)
        assert bridge.stop() == 0
    assert [(each.weight_dg, each.waits) for each in readings(sqlite_database)] == [(4125, True), (3980, True)]
    said = capfd.readouterr().out
    assert said.count("Weights are kept until it is back.") == said.count("The shed is back.") == 1


class ServedAt:
    """The shed again, at the same port."""

    def __init__(self, database: Database, port: int) -> None:
        app = create_app(Settings(database=database.url), database)
        self.server = uvicorn.Server(uvicorn.Config(app, port=port, log_level="warning", ws="none", lifespan="off"))
        self.thread = threading.Thread(target=self.server.run, daemon=True)

    def __enter__(self) -> None:
        self.thread.start()
        wait_for(lambda: self.server.started)

    def __exit__(self, *_left: object) -> None:
        self.server.should_exit = True
        self.thread.join(PATIENCE_S)


class Deaf(ShedLine):
    """A shed that is never there."""

    def __init__(self) -> None:
        super().__init__("http://127.0.0.1:9")

    def send(self, token: str, run: str, weight: Weight, now_s: float) -> None:
        raise ConnectionRefusedError("nobody there")


def test_too_many_weights_drop_the_oldest_and_say_so() -> None:
    said = list[str]()
    outbox = Outbox(Deaf(), "t", said.append)
    for number in range(MOST_KEPT + 2):
        outbox.put(1000 + number, 0.0)
    assert said == [
        "The shed was out of reach too long: the weight 100.0 g was dropped.",
        "The shed was out of reach too long: the weight 100.1 g was dropped.",
    ]


def test_a_wrong_code_is_said(cable: Cable, shed: str, code: str, capfd: pytest.CaptureFixture[str]) -> None:
    wrong = "00000000" if code != "00000000" else "11111111"
    assert feed(shed, SerialSaid(cable.device), wrong, str) == 1
    assert "That is not a code that a bench shows now." in capfd.readouterr().err


def test_where_no_shed_answers_it_is_said(cable: Cable, capfd: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
    assert feed(f"http://127.0.0.1:{port}", SerialSaid(cable.device), "12345678", str) == 1
    assert "refused" in capfd.readouterr().err


def test_a_pairing_that_is_not_there_any_more_is_told_apart_from_a_refusal(shed: str) -> None:
    line = ShedLine(shed)
    with pytest.raises(NotPairedError):
        line.send("not a token", "r", Weight(1, 4125, 0.0), 0.0)
    with pytest.raises(RefusedError, match="Fill this in"):
        line.pair("", "Scale")


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (["--bench", "192.168.4.20"], '"192.168.4.20" is no address'),
        (["--bench", "file:///etc/passwd"], "is no address"),
        (["--bench", "http://shed:door"], "is no address"),
        (["--bench", "http://localhost:1", "--parity", "mark"], '"mark" is no parity'),
        (["--bench", "http://localhost:1", "--unit", "stone"], '"stone" is no unit of a scale'),
        (["--bench", "https://localhost:1", "--authority", "/nowhere/at/all"], "No such file"),
        (
            ["--bench", "https://localhost:1", "--authority", __file__],
            "test_scale_bridge.py is no certificate; the file",
        ),
        (["--bench", "https://localhost:1", "--authority", os.devnull], f"{os.devnull} is no certificate; the file"),
    ],
)
def test_what_cannot_be_is_said_before_anything_is_sent(cable: Cable, options: list[str], sentence: str) -> None:
    ran = CliRunner().invoke(command, ["scale", "--device", cable.device, "--code", "1", *options])
    assert ran.exit_code == 1
    assert sentence in ran.output
    assert ran.exception is None or isinstance(ran.exception, SystemExit)


def test_a_port_that_is_not_there_is_said() -> None:
    ran = CliRunner().invoke(command, ["scale", "--device", "/dev/no-scale-here", "--bench", "http://localhost:1"])
    assert ran.exit_code == 1
    assert "/dev/no-scale-here" in ran.output


def test_it_asks_for_the_code_where_none_is_known(
    cable: Cable, shed: str, code: str, sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scale_bridge, "bridge", lambda *_told: None)
    spaced = f"{code[:4]} {code[4:]}"
    ran = CliRunner().invoke(command, ["scale", "--device", cable.device, "--bench", shed], input=f"{spaced}\n")
    assert ran.exit_code == 0, ran.output
    assert list_scales(sqlite_database) == [f"Scale at {Path(cable.device).name}"]
