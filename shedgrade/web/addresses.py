"""The addresses a program that listens can really be opened at: on this machine, and from the others in its network."""

from contextlib import suppress
from dataclasses import dataclass
from ipaddress import ip_address
from socket import AF_INET, SOCK_DGRAM, getaddrinfo, gethostname, socket

# RFC 5737: belongs to nobody. Connecting a datagram socket only chooses the way there; no packet is sent.
_ELSEWHERE = ("192.0.2.1", 9)


@dataclass(frozen=True, slots=True)
class Where:
    """Where it is on this machine ("" where it is not), from other ones, and whether others can come in at all."""

    here: str
    others: tuple[str, ...]
    lets_others_in: bool

    def say(self, what: str) -> str:
        """The addresses in sentences about what is there."""
        if not self.lets_others_in:
            return f"{what} is at {self.here}\nOnly this machine can open it; for tablets start with --host 0.0.0.0"
        if not self.here:
            return f"{what} is at {self.others[0]}"
        if not self.others:
            return f"{what} is at {self.here}\nThis machine is in no network, so nothing else can open it yet."
        return f"{what} is at {self.here} on this machine, and for tablets at {' or '.join(self.others)}"

    def pages(self, path: str) -> str:
        """A page of it, at the address that others can use where there is one."""
        return " or ".join(f"{address}{path}" for address in self.others or (self.here,))


def where(host: str, port: int, scheme: str = "http") -> Where:
    """Where a program can be opened that listens there."""
    if host in {"0.0.0.0", "::"}:  # noqa: S104 - what was asked for is said
        return Where(
            _url("localhost", port, scheme),
            tuple(_url(each, port, scheme) for each in lan_addresses()),
            lets_others_in=True,
        )
    if _is_loopback(host):
        return Where(_url(host, port, scheme), (), lets_others_in=False)
    return Where("", (_url(host, port, scheme),), lets_others_in=True)


def lan_addresses() -> list[str]:
    """This machine's addresses in its networks, the one it goes out by first."""
    found: list[str] = []
    with suppress(OSError), socket(AF_INET, SOCK_DGRAM) as out:
        out.connect(_ELSEWHERE)
        found.append(out.getsockname()[0])
    with suppress(OSError):
        found += [str(info[4][0]) for info in getaddrinfo(gethostname(), None, AF_INET)]
    return [each for each in dict.fromkeys(found) if not _is_loopback(each) and not ip_address(each).is_unspecified]


def _url(host: str, port: int, scheme: str) -> str:
    return f"{scheme}://{f'[{host}]' if ':' in host else host}:{port}"


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
