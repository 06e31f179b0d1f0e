"""The addresses that are printed are those that can be opened."""

import socket

import pytest

from shedgrade.web import addresses
from shedgrade.web.addresses import Where, lan_addresses, where
from shedgrade.web.serving import greeting

LAN = ["192.168.4.20", "10.0.0.7"]


@pytest.fixture
def in_networks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(addresses, "lan_addresses", lambda: LAN)


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1"])
def test_on_this_machine_only_it_says_so_and_how_tablets_get_in(host: str) -> None:
    shown = f"[{host}]" if ":" in host else host
    assert where(host, 8000).say("shedgrade").splitlines() == [
        f"shedgrade is at http://{shown}:8000",
        "Only this machine can open it; for tablets start with --host 0.0.0.0",
    ]


@pytest.mark.usefixtures("in_networks")
@pytest.mark.parametrize("host", ["0.0.0.0", "::"])  # noqa: S104 - nothing listens
def test_on_every_network_each_address_is_named(host: str) -> None:
    assert where(host, 8000).say("shedgrade") == (
        "shedgrade is at http://localhost:8000 on this machine, and for tablets at "
        "http://192.168.4.20:8000 or http://10.0.0.7:8000"
    )
    said = greeting(where(host, 8000), "token")
    assert "http://192.168.4.20:8000/set-up?token=token or http://10.0.0.7:8000/set-up?token=token" in said


def test_at_one_address_that_is_it() -> None:
    assert where("192.168.4.20", 80).say("The demo season") == "The demo season is at http://192.168.4.20:80"
    assert where("shed.lan", 80).say("shedgrade") == "shedgrade is at http://shed.lan:80"


def test_in_no_network_it_says_so() -> None:
    place = Where("http://localhost:8000", (), lets_others_in=True)
    assert "This machine is in no network" in place.say("shedgrade")
    assert place.pages("/set-up") == "http://localhost:8000/set-up"


def test_no_address_of_the_machine_itself_is_given_to_others(monkeypatch: pytest.MonkeyPatch) -> None:
    """Many systems call their own name 127.0.1.1."""
    told = [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (each, 0)) for each in ("127.0.1.1", "10.0.0.7", "10.0.0.7")]
    monkeypatch.setattr(addresses, "getaddrinfo", lambda *_asked: told)
    found = lan_addresses()
    assert "127.0.1.1" not in found
    assert found.count("10.0.0.7") == 1


def test_a_machine_without_a_name_or_a_way_out_is_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_asked: object) -> None:
        raise OSError

    monkeypatch.setattr(addresses, "getaddrinfo", fails)
    monkeypatch.setattr(addresses, "socket", fails)
    assert lan_addresses() == []
