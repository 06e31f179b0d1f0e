"""Where the authority and the certificate are kept, and when they are made anew.

The keys can be read by nobody but who runs the program (on systems that have file modes). Key and certificate stand in
one file, which is replaced whole: a machine that stops in between has the old ones or the new ones.
"""

import logging
import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from cryptography.hazmat.primitives import serialization

from shedgrade.web.certificates import (
    LASTS,
    RENEWED_BEFORE,
    Names,
    Signed,
    fingerprint,
    make_authority,
    make_certificate,
    names_in,
    permitted_of,
    read,
)
from shedgrade.web.tls import UnreadableError

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

    def renew(self) -> bool:
        """Make what is not there, ends soon or has not all of the machine's names; whether the machine's certificate
        is a new one. UnreadableError."""
        self._folder.mkdir(parents=True, exist_ok=True)
        self._folder.chmod(0o700)
        names, now = self._names(), self._now()
        authority = self._authority(names, now)
        held = self._kept(self.server_file)
        if held is not None and _is_good(held, authority, names, now):
            return False
        _put(self.server_file, make_certificate(authority, names, now).pem())
        for left in sorted(set(names.dns) - set(permitted_of(authority, names).dns)):
            log.warning("this machine is called %s, for which its authority cannot vouch: %s", left, _ANEW)
        return True

    def fingerprint(self) -> str:
        """What the authority is known by."""
        return fingerprint(self._whole_authority().certificate)

    def authority_der(self) -> bytes:
        """The authority's certificate as tablets take it in."""
        return self._whole_authority().certificate.public_bytes(serialization.Encoding.DER)

    def _whole_authority(self) -> Signed:
        held = self._kept(self._authority_with_key)
        assert held is not None  # renew() comes first
        return held

    @property
    def _authority_with_key(self) -> Path:
        return self._folder / "authority.pem"

    def _authority(self, names: Names, now: datetime) -> Signed:
        """The one that tablets trust, for as long as it can be; a new one has to be handed to each of them again."""
        held = self._kept(self._authority_with_key)
        if held is not None and now + LASTS <= held.certificate.not_valid_after_utc:
            return held
        if held is not None:
            log.warning("the authority ends soon, so there is a new one: put it on every tablet again")
        made = make_authority(names, now)
        _put(self._authority_with_key, made.pem())
        _put(self.authority_file, made.certificate.public_bytes(serialization.Encoding.PEM), 0o644)
        return made

    def _kept(self, file: Path) -> Signed | None:
        try:
            file.chmod(_ONLY_MINE)
            return read(file.read_bytes())
        except FileNotFoundError:
            return None
        except (OSError, ValueError) as mistake:
            raise UnreadableError(f"{file} cannot be used ({mistake}). {_ANEW}") from mistake


_ANEW = "Take its folder away and start again: there will be a new authority, to be put on every tablet."


def _is_good(held: Signed, authority: Signed, names: Names, now: datetime) -> bool:
    """Whether it was signed by this authority, lasts, and holds every name the machine has now that may stand in it."""
    certificate = held.certificate
    if certificate.issuer != authority.certificate.subject or now < certificate.not_valid_before_utc:
        return False
    fit, has = permitted_of(authority, names), names_in(held)
    lasts = now + RENEWED_BEFORE < certificate.not_valid_after_utc
    return lasts and set(fit.dns) <= set(has.dns) and set(fit.addresses) <= set(has.addresses)


def _put(file: Path, content: bytes, mode: int = _ONLY_MINE) -> None:
    """Replace a file whole; it never stands there readable by others, not even for a moment."""
    beside = file.with_suffix(".new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as written:
        written.write(content)
        written.flush()
        os.fsync(written.fileno())
    beside.replace(file)
