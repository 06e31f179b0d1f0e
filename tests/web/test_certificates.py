"""The shed's authority and this machine's certificate: what stands in them, who takes them, when they are made anew."""

import errno
import ssl
import stat
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path
from typing import TypeVar

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.x509.oid import ExtendedKeyUsageOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from shedgrade.web import certificates
from shedgrade.web.certificates import (
    AUTHORITY_LASTS,
    LASTS,
    RENEWED_BEFORE,
    Names,
    Signed,
    fingerprint,
    make_authority,
    make_certificate,
    names_here,
    names_in,
    read,
)
from shedgrade.web.kept_certificates import Certificates
from shedgrade.web.tls import UnusableError

NOW = datetime(2026, 2, 3, 12, 0, tzinfo=UTC)
NAMES = Names(("localhost", "packhouse", "packhouse.local"), (ip_address("127.0.0.1"), ip_address("192.168.4.20")))


T = TypeVar("T", bound=x509.ExtensionType)


class Clock:
    """A clock that a test sets."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def kept(tmp_path: Path, clock: Clock) -> Certificates:
    return Certificates(tmp_path / "tls", lambda: NAMES, clock)


def extension(signed: Signed, kind: type[T]) -> x509.Extension[T]:
    return signed.certificate.extensions.get_extension_for_class(kind)


def test_the_authority_can_vouch_for_little() -> None:
    authority = make_authority(NAMES, NOW)
    basic = extension(authority, x509.BasicConstraints)
    assert (basic.value.ca, basic.value.path_length, basic.critical) == (True, 0, True)
    usage = extension(authority, x509.KeyUsage)
    assert (usage.value.key_cert_sign, usage.value.digital_signature, usage.critical) == (True, False, True)
    limits = extension(authority, x509.NameConstraints)
    assert limits.critical
    within = limits.value.permitted_subtrees or []
    called = {each.value for each in within if isinstance(each, x509.DNSName)}
    assert called == {"localhost", "local", "home.arpa", "internal", "lan", "packhouse", "packhouse.local"}
    networks = {each.value for each in within if isinstance(each, x509.IPAddress)}
    assert ip_network("192.168.0.0/16") in networks
    assert all(network.is_private or network == ip_network("100.64.0.0/10") for network in networks)
    assert authority.certificate.not_valid_after_utc - NOW == AUTHORITY_LASTS


def test_the_certificate_holds_the_machines_names() -> None:
    authority = make_authority(NAMES, NOW)
    made = make_certificate(authority, NAMES, NOW)
    assert names_in(made) == NAMES
    assert made.certificate.not_valid_after_utc - NOW == LASTS
    assert list(extension(made, x509.ExtendedKeyUsage).value) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert not extension(made, x509.BasicConstraints).value.ca
    made.certificate.verify_directly_issued_by(authority.certificate)


def verified(authority: Signed, made: Signed, name: str) -> None:
    """As a browser would, by cryptography's own check of a chain."""
    subject = x509.IPAddress(ip_address(name)) if name[0].isdigit() else x509.DNSName(name)
    policy = PolicyBuilder().store(Store([authority.certificate])).time(NOW)
    policy.build_server_verifier(subject).verify(made.certificate, [])


@pytest.mark.parametrize("name", ["packhouse", "packhouse.local", "192.168.4.20", "127.0.0.1"])
def test_it_is_taken_for_each_of_its_names(name: str) -> None:
    authority = make_authority(NAMES, NOW)
    verified(authority, make_certificate(authority, NAMES, NOW), name)


def test_for_any_other_name_it_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody with the authority's key signs for a bank; whoever trusts the authority refuses it all the same."""
    authority = make_authority(NAMES, NOW)
    bank = Names(("bank.example",), ())
    assert names_in(make_certificate(authority, Names((*NAMES.dns, *bank.dns), ()), NOW)) == Names(NAMES.dns, ())
    monkeypatch.setattr(certificates, "permitted_of", lambda _authority, names: names)
    with pytest.raises(VerificationError):
        verified(authority, make_certificate(authority, bank, NOW), "bank.example")


def test_a_public_address_that_it_listens_on_is_one_of_them() -> None:
    public = ip_address("203.0.113.9")
    names = Names(NAMES.dns, (*NAMES.addresses, public))
    authority = make_authority(names, NOW)
    assert public in names_in(make_certificate(authority, names, NOW)).addresses


def test_the_machines_names_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(certificates, "gethostname", lambda: "Packhouse")
    monkeypatch.setattr(certificates, "getfqdn", lambda: "packhouse.lan")
    monkeypatch.setattr(certificates, "lan_addresses", lambda: ["192.168.4.20"])
    found = names_here("0.0.0.0")  # noqa: S104 - nothing listens
    assert found.dns == ("localhost", "packhouse", "packhouse.lan", "packhouse.local")
    assert found.addresses == tuple(map(ip_address, ("127.0.0.1", "::1", "192.168.4.20")))
    assert names_here("shed.lan").dns[-1] == "shed.lan"
    assert names_here("10.0.0.9").addresses[-1] == ip_address("10.0.0.9")


def test_a_name_that_no_certificate_can_hold_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(certificates, "gethostname", lambda: "bad_name")
    monkeypatch.setattr(certificates, "getfqdn", lambda: "1.0.0.127.in-addr.arpa")
    assert names_here("::").dns == ("localhost",)


def test_key_and_certificate_go_together() -> None:
    authority = make_authority(NAMES, NOW)
    other = make_authority(NAMES, NOW)
    assert read(authority.pem()).certificate == authority.certificate
    with pytest.raises(ValueError, match="not that of the certificate"):
        read(Signed(authority.certificate, other.key).pem())


def test_the_fingerprint_can_be_compared_by_eye() -> None:
    authority = make_authority(NAMES, NOW)
    said = fingerprint(authority.certificate)
    assert len(said.split()) == 16
    assert {len(group) for group in said.split()} == {4}


def test_only_who_runs_the_program_can_read_the_keys(kept: Certificates) -> None:
    kept.renew()
    folder = kept.server_file.parent
    modes = {each.name: stat.S_IMODE(each.stat().st_mode) for each in (folder, *folder.iterdir())}
    assert modes == {"tls": 0o700, "authority.pem": 0o600, "authority.crt": 0o644, "server.pem": 0o600}
    assert b"PRIVATE" not in kept.authority_file.read_bytes()
    assert b"PRIVATE" not in kept.authority_der()


def test_loosened_modes_are_tightened_at_the_next_look(kept: Certificates) -> None:
    kept.renew()
    kept.server_file.chmod(0o644)
    kept.server_file.parent.chmod(0o755)
    kept.renew()
    assert stat.S_IMODE(kept.server_file.stat().st_mode) == 0o600
    assert stat.S_IMODE(kept.server_file.parent.stat().st_mode) == 0o700


def test_it_is_renewed_before_it_ends_by_the_same_authority(kept: Certificates, clock: Clock) -> None:
    assert kept.renew()
    first, authority = kept.server_file.read_bytes(), kept.fingerprint()
    clock.now = NOW + timedelta(days=59, hours=23)
    assert not kept.renew()
    assert kept.server_file.read_bytes() == first
    clock.now = NOW + timedelta(days=60)
    assert kept.renew()
    renewed = read(kept.server_file.read_bytes())
    assert renewed.certificate.not_valid_after_utc == clock.now + LASTS
    assert kept.fingerprint() == authority


def test_a_clock_that_was_wrong_is_no_reason_to_wait(kept: Certificates, clock: Clock) -> None:
    kept.renew()
    clock.now = NOW - timedelta(days=400)
    assert kept.renew()
    assert read(kept.server_file.read_bytes()).certificate.not_valid_before_utc < clock.now


def test_an_authority_that_ends_soon_is_made_anew_and_said(
    kept: Certificates, clock: Clock, caplog: pytest.LogCaptureFixture
) -> None:
    kept.renew()
    before = kept.fingerprint()
    clock.now = NOW + AUTHORITY_LASTS - LASTS + timedelta(seconds=1)
    assert kept.renew()
    assert kept.fingerprint() != before
    assert "put it on every tablet again" in caplog.text
    handed_out = x509.load_pem_x509_certificate(kept.authority_file.read_bytes())
    read(kept.server_file.read_bytes()).certificate.verify_directly_issued_by(handed_out)


def test_a_new_address_of_the_machine_comes_into_its_certificate(tmp_path: Path, clock: Clock) -> None:
    now = NAMES
    kept = Certificates(tmp_path, lambda: now, clock)
    kept.renew()
    authority = kept.fingerprint()
    now = Names(NAMES.dns, (ip_address("192.168.7.3"),))
    assert kept.renew()
    assert names_in(read(kept.server_file.read_bytes())) == now
    assert kept.fingerprint() == authority
    assert not kept.renew()


def test_a_new_name_outside_of_its_limits_is_left_out_and_said(
    tmp_path: Path, clock: Clock, caplog: pytest.LogCaptureFixture
) -> None:
    now = NAMES
    kept = Certificates(tmp_path, lambda: now, clock)
    kept.renew()
    now = Names(("localhost", "grading"), NAMES.addresses)
    kept.renew()
    clock.now = NOW + LASTS
    kept.renew()
    assert names_in(read(kept.server_file.read_bytes())).dns == ("localhost",)
    assert "called grading" in caplog.text


def under_a_password(file: Path) -> None:
    encryption = serialization.BestAvailableEncryption(b"four or five words")
    key = make_authority(NAMES, NOW).key
    file.write_bytes(key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, encryption))


def as_a_folder(file: Path) -> None:
    file.unlink()
    file.mkdir()


SPOILS = [
    lambda file: file.write_bytes(b"nothing"),
    lambda file: file.write_bytes(b""),
    lambda file: file.write_bytes(make_authority(NAMES, NOW).pem().split(b"-----BEGIN CERT")[0]),
    lambda file: file.write_bytes(file.with_name("authority.crt").read_bytes()),
    under_a_password,
]


@pytest.mark.parametrize("spoil", [*SPOILS, as_a_folder, lambda file: file.write_bytes(leaf())])
def test_an_authority_that_cannot_be_read_is_said_in_a_sentence(
    kept: Certificates, spoil: Callable[[Path], object]
) -> None:
    """Making another would cost every tablet its trust: a person decides."""
    kept.renew()
    file = kept.server_file.with_name("authority.pem")
    spoil(file)
    before = kept.authority_file.read_bytes()
    with pytest.raises(UnusableError, match="cannot be used") as refused:
        kept.renew()
    assert str(file) in str(refused.value)
    assert kept.authority_file.read_bytes() == before


def leaf() -> bytes:
    return make_certificate(make_authority(NAMES, NOW), NAMES, NOW).pem()


@pytest.mark.parametrize("spoil", [*SPOILS, Path.unlink])
def test_a_certificate_that_cannot_be_read_is_made_anew_by_the_same_authority(
    kept: Certificates, spoil: Callable[[Path], object], caplog: pytest.LogCaptureFixture
) -> None:
    kept.renew()
    authority = kept.fingerprint()
    spoil(kept.server_file)
    assert kept.renew()
    verified(
        read(kept.server_file.with_name("authority.pem").read_bytes()), read(kept.server_file.read_bytes()), "localhost"
    )
    assert kept.fingerprint() == authority
    assert spoil is Path.unlink or "server.pem could not be used" in caplog.text
    assert not kept.renew()


def test_a_certificate_of_an_older_authority_is_made_anew(kept: Certificates) -> None:
    """Two authorities made on one day are called the same."""
    kept.renew()
    file = kept.server_file.with_name("authority.pem")
    file.write_bytes(make_authority(NAMES, NOW).pem())
    assert kept.renew()
    handed_out = x509.load_pem_x509_certificate(kept.authority_file.read_bytes())
    read(kept.server_file.read_bytes()).certificate.verify_directly_issued_by(handed_out)
    assert handed_out == read(file.read_bytes()).certificate
    assert not kept.renew()


@pytest.mark.parametrize("spoil", [Path.unlink, lambda file: file.write_bytes(b"nothing")])
def test_what_is_handed_out_is_put_back_from_the_authority(kept: Certificates, spoil: Callable[[Path], object]) -> None:
    kept.renew()
    before = kept.authority_file.read_bytes()
    spoil(kept.authority_file)
    assert not kept.renew()
    assert kept.authority_file.read_bytes() == before
    assert kept.authority_der() == x509.load_pem_x509_certificate(before).public_bytes(serialization.Encoding.DER)


def test_an_authority_whose_key_is_gone_is_made_anew_and_said(
    kept: Certificates, caplog: pytest.LogCaptureFixture
) -> None:
    kept.renew()
    assert not caplog.text
    kept.server_file.with_name("authority.pem").unlink()
    assert kept.renew()
    assert "put it on every tablet again" in caplog.text
    handed_out = x509.load_pem_x509_certificate(kept.authority_file.read_bytes())
    read(kept.server_file.read_bytes()).certificate.verify_directly_issued_by(handed_out)


def test_it_goes_on_being_told_while_its_file_is_gone(kept: Certificates) -> None:
    kept.renew()
    told = kept.fingerprint()
    kept.server_file.with_name("authority.pem").unlink()
    assert kept.fingerprint() == told


def test_an_authority_of_ones_own_without_limits_vouches_for_every_name(kept: Certificates) -> None:
    kept.renew()
    own = make_authority(NAMES, NOW)
    builder = x509.CertificateBuilder(
        own.certificate.issuer,
        own.certificate.subject,
        own.key.public_key(),
        x509.random_serial_number(),
        NOW,
        NOW + AUTHORITY_LASTS,
    ).add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
    unlimited = Signed(builder.sign(own.key, hashes.SHA256()), own.key)
    kept.server_file.with_name("authority.pem").write_bytes(unlimited.pem())
    assert kept.renew()
    assert names_in(read(kept.server_file.read_bytes())) == NAMES


@pytest.mark.parametrize("fails", ["replace", "chmod", "mkdir"])
def test_a_full_or_locked_disk_is_said_in_a_sentence_and_leaves_the_files_as_they_were(
    kept: Certificates, clock: Clock, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    kept.renew()
    before = {each.name: each.read_bytes() for each in kept.server_file.parent.iterdir()}
    clock.now += RENEWED_BEFORE + LASTS

    def refuse(*_told: object, **_named: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(Path, fails, refuse)
        with pytest.raises(UnusableError, match=r"No space left on device.*is accepted"):
            kept.renew()
    assert {each.name: each.read_bytes() for each in kept.server_file.parent.iterdir()} == before
    assert kept.renew()


def test_python_takes_the_files_as_they_are(kept: Certificates) -> None:
    kept.renew()
    ssl.create_default_context(cafile=kept.authority_file)
    ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(kept.server_file)
