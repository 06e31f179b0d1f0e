"""Serving by https with a certificate of the machine's own: real connections to a real server."""

import socket
import ssl
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import NamedTuple

import httpx
import pytest
from bs4 import BeautifulSoup
from cryptography import x509
from typer.testing import CliRunner

from shedgrade.actions.people import add_person
from shedgrade.cli import app as command
from shedgrade.domain.people import Role
from shedgrade.exchange.scale_link import RefusedError, ShedLine
from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.web import serving
from shedgrade.web.addresses import where
from shedgrade.web.app import create_app
from shedgrade.web.certificates import Names
from shedgrade.web.kept_certificates import Certificates
from shedgrade.web.serving import greeting
from shedgrade.web.static_files import static_address
from shedgrade.web.tls import Tls
from shedgrade.web.whoami import COOKIE
from tests.support.serving import free_port, is_open, serve_tls
from tests.support.visitor import Visitor, signed_in

NAMES = Names(("localhost",), (ip_address("127.0.0.1"),))
PATIENCE_S = 10


class Site(NamedTuple):
    secure: str
    plain: str
    certificates: Certificates
    later: list[timedelta]


@pytest.fixture
def site(sqlite_database: Database, tmp_path: Path) -> Iterator[Site]:
    """The app by https, looking after its certificate ten times a second; ``later`` says how far off its clock is."""
    later = [-timedelta(days=61)]
    certificates = Certificates(tmp_path / "tls", lambda: NAMES, lambda: datetime.now(UTC) + sum(later, timedelta(0)))
    certificates.renew()
    tls = Tls(certificates, free_port(), free_port())
    app = create_app(Settings(database=sqlite_database.url), sqlite_database, tls=tls)
    with serve_tls(app, tls) as (secure, plain):
        yield Site(secure, plain, certificates, later)
    assert not is_open(tls.port)
    assert not is_open(tls.plain_port)


def wait_until(is_so: Callable[[], bool]) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < deadline
        time.sleep(0.02)


def trusting(site: Site) -> ssl.SSLContext:
    return ssl.create_default_context(cafile=site.certificates.authority_file)


def shown_certificate(site: Site) -> x509.Certificate:
    """What the server shows in a new connection whose chain and name were verified."""
    host, port = site.secure.removeprefix("https://").split(":")
    with (
        socket.create_connection((host, int(port)), timeout=PATIENCE_S) as line,
        trusting(site).wrap_socket(line, server_hostname=host) as secure,
    ):
        der = secure.getpeercert(binary_form=True)
    assert der is not None
    return x509.load_der_x509_certificate(der)


def test_who_trusts_the_authority_gets_in(site: Site) -> None:
    with httpx.Client(verify=trusting(site)) as client:
        for name in ("localhost", "127.0.0.1"):
            answer = client.get(f"{site.secure.replace('localhost', name)}/sign-in")
            assert answer.status_code in {200, 303}


def test_who_does_not_is_warned(site: Site) -> None:
    with httpx.Client(verify=ssl.create_default_context()) as client, pytest.raises(httpx.ConnectError, match="CERT"):
        client.get(site.secure)


def test_a_certificate_that_ends_is_renewed_while_it_runs(site: Site) -> None:
    first = shown_certificate(site)
    with httpx.Client(verify=trusting(site)) as client:
        client.get(f"{site.secure}/authority")
        time.sleep(0.3)  # a few looks
        assert shown_certificate(site) == first
        site.later[:] = []
        wait_until(lambda: shown_certificate(site).serial_number != first.serial_number)
        assert client.get(f"{site.secure}/authority").status_code == 200  # a line that is open stays open
    assert shown_certificate(site).not_valid_after_utc - first.not_valid_after_utc >= timedelta(days=61)


def test_the_plain_port_hands_out_the_authority(site: Site) -> None:
    page = httpx.get(site.plain, follow_redirects=True)
    tree = BeautifulSoup(page.text, "html.parser")
    assert site.certificates.fingerprint() in tree.get_text(" ", strip=True)
    assert f"{site.secure}/" in {link.get("href") for link in tree.find_all("a")}
    assert "its key lies on the shed's machine" in tree.get_text(" ")
    words = tree.get_text(" ")
    assert "Not every browser does" in words
    assert "does not use the tablet's list" in words
    assert all(kind in words for kind in ("Android", "iPad", "Windows", "Mac", "Linux"))
    given = httpx.get(f"{site.plain}/authority.crt")
    assert given.headers["content-type"] == "application/x-x509-ca-cert"
    authority = x509.load_der_x509_certificate(given.content)
    shown_certificate(site).verify_directly_issued_by(authority)
    assert httpx.get(f"{site.plain}{static_address()}/css/app.css").status_code == 200


def test_the_machine_at_a_scale_trusts_the_shed_by_the_file_it_hands_out(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "shed-authority.crt"
    file.write_bytes(httpx.get(f"{site.plain}/authority.crt").content)
    for known_by in (file, site.certificates.authority_file):  # as it is handed out, and as text
        with pytest.raises(RefusedError, match="not a code that a bench shows"):
            ShedLine(site.secure, known_by).pair("00000000", "Scale")
    with pytest.raises(OSError, match="CERT"):
        ShedLine(site.secure).pair("00000000", "Scale")


def test_a_bench_says_which_file_its_scale_needs(site: Site, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        person_id = add_person(session, "Ada Thorne", frozenset({Role.GRADER}), None)
        session.commit()
    with httpx.Client(verify=trusting(site), cookies={COOKIE: signed_in(sqlite_database, person_id)}) as client:
        client.post(f"{site.secure}/scales/codes", headers={"origin": site.secure})
        tree = BeautifulSoup(client.get(f"{site.secure}/scales").text, "html.parser")
    typed = [each.get_text() for each in tree.select("code")]
    assert [each for each in typed if each.endswith(" --authority shed-authority.crt")]
    assert tree.select_one('main a[href="/authority"]') is not None


@pytest.mark.parametrize("path", ["/sign-in", "/people", "/growers", "/set-up", "/authority/x", "//authority"])
def test_the_plain_port_gives_nothing_else(site: Site, path: str) -> None:
    answer = httpx.get(f"{site.plain}{path}")
    assert (answer.status_code, answer.headers["location"]) == (303, "/authority")


def test_the_plain_port_takes_nothing_in(site: Site) -> None:
    typed = {"name": "Ada Thorne", "password": "three or four words"}
    for path in ("/sign-in", "/authority"):
        assert httpx.post(f"{site.plain}{path}", data=typed).status_code == 405


def test_no_browser_is_bound_to_https(site: Site) -> None:
    """A shed that goes back to plain http is not locked out of its tablets."""
    with httpx.Client(verify=trusting(site)) as client:
        for address in (f"{site.secure}/sign-in", f"{site.plain}/authority"):
            assert "strict-transport-security" not in client.get(address, follow_redirects=True).headers


def test_it_is_said_where_tablets_begin_and_how_the_authority_is_known(site: Site) -> None:
    tls = Tls(site.certificates, 8443, 8444)
    said = greeting(where("192.168.4.20", 8443, "https"), "", tls, "192.168.4.20")
    assert "shedgrade is at https://192.168.4.20:8443" in said
    assert "opens http://192.168.4.20:8444/ first" in said
    assert site.certificates.fingerprint() in said


def test_without_https_of_its_own_there_is_no_authority(sqlite_database: Database) -> None:
    visitor = Visitor(sqlite_database, None)
    assert visitor.get("/authority").status_code == 404
    assert visitor.get("/authority.crt").status_code == 404


@pytest.mark.parametrize(
    ("options", "plain_port"), [(["--tls"], 8444), (["--tls", "--plain-port", "9000"], 9000), ([], None)]
)
def test_the_command_says_by_which_ports(
    monkeypatch: pytest.MonkeyPatch, options: list[str], plain_port: int | None
) -> None:
    asked: list[object] = []
    monkeypatch.setattr(serving, "refuse_taken", lambda _host, port: asked.append(port))
    monkeypatch.setattr(serving, "serve_own", lambda *told: asked.append(told))
    CliRunner().invoke(command, ["serve", "--port", "8443", *options], catch_exceptions=False)
    taken = [8443] if plain_port is None else [8443, plain_port]
    assert asked == [*taken, ("127.0.0.1", 8443, None, plain_port)]


@pytest.mark.parametrize("command_line", [["serve"], ["demo"]])
@pytest.mark.parametrize("port", ["70000", "65536", "0", "-1"])
def test_a_port_that_cannot_be_is_said_in_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command_line: list[str], port: str
) -> None:
    said = refused(tmp_path, monkeypatch, [*command_line, "--port", port])
    assert said == f"shedgrade cannot start: --port is {port}: a number from 1 to 65535 is accepted."


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (
            ["--port", "65535", "--tls"],
            "After --port 65535 comes no port for --tls: with --plain-port a number from 1 to 65535 is accepted.",
        ),
        (
            ["--port", "8443", "--tls", "--plain-port", "8443"],
            "--port and --plain-port are both 8443: two that differ are accepted.",
        ),
        (
            ["--plain-port", "8444"],
            "--plain-port says where tablets get the certificate of --tls: it is accepted with --tls.",
        ),
        (["--tls", "--plain-port", "70000"], "--plain-port is 70000: a number from 1 to 65535 is accepted."),
    ],
)
def test_ports_that_do_not_go_together_are_said_in_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, options: list[str], sentence: str
) -> None:
    assert refused(tmp_path, monkeypatch, ["serve", *options]) == f"shedgrade cannot start: {sentence}"


def refused(home: Path, monkeypatch: pytest.MonkeyPatch, command_line: list[str]) -> str:
    """What is said, as one line; exit code 2, and nothing was asked of the network or written."""
    monkeypatch.setattr(serving, "data_folder", lambda: home)
    monkeypatch.setattr(serving, "refuse_taken", lambda *_told: pytest.fail("the network was asked"))
    monkeypatch.setattr(serving, "serve_own", lambda *_told: pytest.fail("it started"))
    ran = CliRunner().invoke(command, command_line)
    assert ran.exit_code == 2
    assert list(home.iterdir()) == []
    (line,) = ran.output.splitlines()
    return line


def test_a_full_disk_at_the_start_is_said_in_a_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "tls").write_text("in the way")
    monkeypatch.setattr(serving, "data_folder", lambda: tmp_path)
    with pytest.raises(SystemExit) as stopped:
        serving.serve_own("127.0.0.1", 8443, str(tmp_path / "shed.db"), 8444)
    assert "shedgrade cannot start" in str(stopped.value)
    assert "is accepted" in str(stopped.value)
    assert [each.name for each in tmp_path.iterdir()] == ["tls"]


def test_a_full_disk_while_it_runs_is_said_in_a_line_and_it_goes_on(
    site: Site, caplog: pytest.LogCaptureFixture
) -> None:
    folder = site.certificates.server_file.parent
    folder.rename(folder.with_name("away"))
    folder.write_text("in the way")
    site.later[:] = []
    wait_until(lambda: "was not renewed" in caplog.text)
    assert "is accepted" in caplog.text
    assert "Traceback" not in caplog.text
    assert httpx.get(f"{site.plain}/authority").status_code == 200
    folder.unlink()
    folder.with_name("away").rename(folder)


def test_a_spoilt_authority_stops_the_start_with_a_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(serving, "data_folder", lambda: tmp_path)
    (tmp_path / "tls").mkdir()
    (tmp_path / "tls" / "authority.pem").write_text("nothing")
    with pytest.raises(SystemExit) as stopped:
        serving.serve_own("127.0.0.1", 8443, str(tmp_path / "shed.db"), 8444)
    assert "shedgrade cannot start" in str(stopped.value)
    assert "authority.pem cannot be used" in str(stopped.value)
