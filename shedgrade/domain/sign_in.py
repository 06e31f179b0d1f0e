"""How signing in is slowed after failures, and what a password and a PIN must be.

The curve is ours: five slips are free, then each failure doubles the wait, up to a quarter of an hour; after twenty
failures in a row a PIN opens nothing until its owner has signed in by password or the shed manager gives a new one.
At that rate somebody who guesses gets through about a hundred passwords a day, however many senders they use.

A whole shed may stand behind one address, so a sender has thirty free, and an hour without a failure forgives it: one
sender can try some seven hundred times a day, spread over names each of which is slowed by itself.
A name is forgiven after a day without one, which makes guessing no faster; a PIN is not forgiven by waiting.
"""

import re
import unicodedata
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from ipaddress import IPv6Address, ip_address

PIN_DIGITS = 6
SHORTEST_PASSWORD = 10
LONGEST_PASSWORD = 200
LONGEST_NAME = 80
FREE_FAILURES = 5
FREE_OF_SENDER = 30
PIN_FAILURES = 20
# Our own choices; the sentences below say them whole, and every form where one is chosen shows its sentence.
_FEWEST_LETTERS = 5
_FEWEST_DIGITS = 4
_RUN = 3
PASSWORD_RULE = (
    f"{SHORTEST_PASSWORD} to {LONGEST_PASSWORD} letters, figures or spaces, at least {_FEWEST_LETTERS} of them "
    "different; three or four words do well."
)
PIN_RULE = (
    f"{PIN_DIGITS} digits, at least {_FEWEST_DIGITS} of them different, and nowhere three in a row that count up or "
    "down, like 123 or 321."
)
_FIRST_WAIT_S = 2
_LONGEST_WAIT = timedelta(minutes=15)
_IPV6_HOST_BITS = 64


# How long after the last failure the count begins anew, by what was tried.
FORGIVEN_AFTER = {"name": timedelta(days=1), "sender": timedelta(hours=1), "pairing": timedelta(hours=1)}


@dataclass(frozen=True, slots=True)
class Tried:
    """Whose failures in a row are counted: its ``kind`` and which one. ``free`` failures cost no wait; after ``most``
    nothing is tried any more until it is forgiven (None: always some time)."""

    kind: str
    which: str
    free: int
    most: int | None = None

    @classmethod
    def name(cls, name: str) -> "Tried":
        """Somebody's name, in the books or not. Only its hash: people type their password into the wrong box."""
        return cls("name", sha256(name_key(name).encode()).hexdigest(), FREE_FAILURES)

    @classmethod
    def pin(cls, person_id: int) -> "Tried":
        """Somebody's PIN."""
        return cls("pin", str(person_id), FREE_FAILURES, PIN_FAILURES)

    @classmethod
    def sender(cls, address: str) -> "Tried":
        """Where the tries come from; of IPv6 the network, since one machine has all of its addresses."""
        return cls("sender", _network(address), FREE_OF_SENDER)

    @classmethod
    def pairing(cls, address: str) -> "Tried":
        """Where the codes for pairing a scale come from, told apart as senders are: of a hundred million
        codes, a sender can try about a hundred in a day."""
        return cls("pairing", _network(address), FREE_FAILURES)

    @property
    def key(self) -> str:
        """What it is called in the database."""
        return f"{self.kind} {self.which}"

    def wait(self, failures: int, last_at: datetime, now: datetime) -> timedelta:
        """How long nobody can try again, after so many failures in a row of which the last was then."""
        return max(last_at + wait_after(failures, self.free) - now, timedelta(0))

    def is_closed(self, failures: int) -> bool:
        """Whether nothing is tried any more until it is forgiven."""
        return self.most is not None and failures >= self.most


def wait_after(failures: int, free: int = FREE_FAILURES) -> timedelta:
    """How long nobody can try again after so many failures in a row."""
    doublings = failures - free
    if doublings < 0:
        return timedelta(0)
    return min(timedelta(seconds=_FIRST_WAIT_S << min(doublings, 20)), _LONGEST_WAIT)


def name_key(text: str) -> str:
    """A name as it is compared: however it is spaced and capitalised, and however the keyboard makes its letters."""
    return unicodedata.normalize("NFC", " ".join(text.split())).casefold()


def password(text: str) -> str:
    """A new password; ValueError says what is asked of it."""
    if not SHORTEST_PASSWORD <= len(text) <= LONGEST_PASSWORD:
        raise ValueError(f"That is {len(text)} letters long. Use {PASSWORD_RULE}")
    if len(set(text)) < _FEWEST_LETTERS:
        raise ValueError(f"That repeats itself. Use {PASSWORD_RULE}")
    return text


def pin(text: str) -> str:
    """A new PIN; ValueError says what is asked of it."""
    digits = pin_digits(text)
    if not (digits.isascii() and digits.isdigit() and len(digits) == PIN_DIGITS):
        raise ValueError(f"A PIN is {PIN_RULE}")
    if len(set(digits)) < _FEWEST_DIGITS or _counts(digits):
        raise ValueError(f"That PIN is easy to guess. A PIN is {PIN_RULE}")
    return digits


def _counts(digits: str) -> bool:
    """Whether somewhere in it digits in a row count up or down."""
    runs = ("0123456789", "9876543210")
    return any(digits[at : at + _RUN] in run for at in range(len(digits) - _RUN + 1) for run in runs)


def pin_digits(text: str) -> str:
    """A PIN as typed, without the spaces."""
    return re.sub(r"\s", "", text)


def _network(address: str) -> str:
    try:
        ip = ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if not isinstance(ip, IPv6Address):
        return str(ip)
    if ip.ipv4_mapped:
        return str(ip.ipv4_mapped)
    return f"{IPv6Address(int(ip) >> _IPV6_HOST_BITS << _IPV6_HOST_BITS)}/{_IPV6_HOST_BITS}"
