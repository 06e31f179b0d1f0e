"""Where the authority and the certificate are kept, and when they are made anew.

The keys can be read by nobody but who runs the program (on systems that have file modes). Key and certificate stand in
one file, which is replaced whole: a machine that stops in between has the old ones or the new ones.
"""

import logging
import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import serialization

from shedgrade.web.certificates import (
    LASTS,
    RENEWED_BEFORE,
    Names,
    Signed,
    fingerprint,
    is_authority,
    make_authority,
    make_certificate,
    names_in,
    permitted_of,
    read,
)
from shedgrade.web.tls import UnusableError

log = logging.getLogger("shedgrade")

_ONLY_MINE = 0o600


class Certificates:
    """The shed's authority and this machine's certificate, in a folder of their own. ``names`` and ``now`` are asked
    again at each :meth:`renew`."""

    def __init__(
        self, folder: Path, names: Callable[[], Names], now: Callable[[], datetime] = lambda: datetime.now(UTC)
    ) -> None:
        self._folder = folder
        self._names = names
        self._now = now
        self.authority_file = folder / "authority.crt"
        """The authority's certificate, which may be handed to anybody."""
        self.server_file = folder / "server.pem"
        """The machine's certificate with its key."""
        self._handed_out: x509.Certificate | None = None

    def renew(self) -> bool:
        """Make what is not there, ends soon or has not all of the machine's names; whether the machine's certificate
        is a new one. UnusableError."""
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            self._folder.chmod(0o700)
            return self._renewed(self._names(), self._now())
        except OSError as mistake:
            raise UnusableError(
                f"{self._folder} cannot be used ({mistake}). A folder that belongs to whoever runs the program, on a "
                "disk with room, is accepted."
            ) from mistake

    def fingerprint(self) -> str:
        """What the authority is known by; :meth:`renew` comes before."""
        return fingerprint(self._trusted())

    def authority_der(self) -> bytes:
        """The authority's certificate as tablets take it in; :meth:`renew` comes before."""
        return self._trusted().public_bytes(serialization.Encoding.DER)

    def _trusted(self) -> x509.Certificate:
        assert self._handed_out is not None
        return self._handed_out

    def _renewed(self, names: Names, now: datetime) -> bool:
        authority = self._authority(names, now)
        self._hand_out(authority.certificate)
        held = self._server()
        if held is not None and _is_good(held, authority, names, now):
            return False
        _put(self.server_file, make_certificate(authority, names, now).pem())
        for left in sorted(set(names.dns) - set(permitted_of(authority, names).dns)):
            log.warning("this machine is called %s, for which its authority cannot vouch: %s", left, _ANEW)
        return True

    def _authority(self, names: Names, now: datetime) -> Signed:
        """The one that tablets trust, for as long as it can be; a new one has to be handed to each of them again."""
        file = self._folder / "authority.pem"
        try:
            held = _kept(file)
        except (OSError, ValueError) as mistake:
            raise UnusableError(f"{file} cannot be used ({mistake}). {_BACK}") from mistake
        if held is not None and now + LASTS <= held.certificate.not_valid_after_utc:
            if not is_authority(held.certificate):
                raise UnusableError(f"{file} cannot be used (it is no authority). {_BACK}")
            return held
        if held is not None:
            log.warning("the authority ends soon, so there is a new one: put it on every tablet again")
        elif self.authority_file.exists():
            log.warning("%s is gone, so there is a new authority: put it on every tablet again", file)
        made = make_authority(names, now)
        _put(file, made.pem())
        return made

    def _hand_out(self, certificate: x509.Certificate) -> None:
        """Beside its key stands a copy that may be read by anybody."""
        content = certificate.public_bytes(serialization.Encoding.PEM)
        if not self.authority_file.is_file() or self.authority_file.read_bytes() != content:
            _put(self.authority_file, content, 0o644)
        self._handed_out = certificate

    def _server(self) -> Signed | None:
        """The machine's own: whatever is wrong with it, tablets need nothing for a new one."""
        try:
            return _kept(self.server_file)
        except (OSError, ValueError) as mistake:
            log.warning("%s could not be used (%s) and is made anew", self.server_file, mistake)
            return None


_ANEW = "Take its folder away and start again: there will be a new authority, to be put on every tablet."
_BACK = f"Put it back as it was, readable by whoever runs the program, if you have it. If not: {_ANEW}"


def _kept(file: Path) -> Signed | None:
    try:
        file.chmod(_ONLY_MINE)
        return read(file.read_bytes())
    except FileNotFoundError:
        return None


def _is_good(held: Signed, authority: Signed, names: Names, now: datetime) -> bool:
    """Whether it was signed by this authority, lasts, and holds every name the machine has now that may stand in it."""
    certificate = held.certificate
    try:
        certificate.verify_directly_issued_by(authority.certificate)
    except (ValueError, TypeError, InvalidSignature):
        return False
    fit, has = permitted_of(authority, names), names_in(held)
    lasts = certificate.not_valid_before_utc <= now < certificate.not_valid_after_utc - RENEWED_BEFORE
    return lasts and set(fit.dns) <= set(has.dns) and set(fit.addresses) <= set(has.addresses)


def _put(file: Path, content: bytes, mode: int = _ONLY_MINE) -> None:
    """Replace a file whole; it never stands there readable by others, not even for a moment."""
    beside = file.with_suffix(".new")
    beside.unlink(missing_ok=True)
    try:
        with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as written:
            written.write(content)
            written.flush()
            os.fsync(written.fileno())
        beside.replace(file)
    finally:
        beside.unlink(missing_ok=True)
