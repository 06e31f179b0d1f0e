"""An authority of the shed's own, and the certificate of this machine that it signs.

The authority can vouch for little: no other authority below it, only this machine's names and addresses in private
networks (RFC 5280, 4.2.1.9 and 4.2.1.10, from memory). Whoever steals its key still gains nothing against other sites.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_address, ip_network
from socket import getfqdn, gethostname

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from shedgrade.web.addresses import lan_addresses

AUTHORITY_LASTS = timedelta(days=3650)
# Our own choices. Some tablets take no certificate that is good for longer than 825 days (from memory).
LASTS = timedelta(days=90)
RENEWED_BEFORE = timedelta(days=30)
_CLOCKS_DIFFER = timedelta(days=1)

# Names that mean nothing outside of one network: RFC 6762, 6761, 8375, and what routers give (common practice).
_LOCAL_NAMES = ("localhost", "local", "home.arpa", "internal", "lan")
# RFC 1918, 1122, 3927, 6598, 4193, 4291.
_LOCAL_NETWORKS = tuple(
    map(
        ip_network,
        (
            "10.0.0.0/8",
            "172.16.0.0/12",
            "192.168.0.0/16",
            "127.0.0.0/8",
            "169.254.0.0/16",
            "100.64.0.0/10",
            "fc00::/7",
            "fe80::/10",
            "::1/128",
        ),
    )
)

Address = IPv4Address | IPv6Address
Network = IPv4Network | IPv6Network


@dataclass(frozen=True, slots=True)
class Names:
    """What a machine is called and where it is in its networks."""

    dns: tuple[str, ...]
    addresses: tuple[Address, ...]


@dataclass(frozen=True, slots=True)
class Signed:
    """A certificate and its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    def pem(self) -> bytes:
        """Both in one text, so that they are replaced as one."""
        key = self.key.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        )
        return key + self.certificate.public_bytes(serialization.Encoding.PEM)


def read(pem: bytes) -> Signed:
    """The same from its text; ValueError."""
    try:
        key = serialization.load_pem_private_key(pem, password=None)
    except (TypeError, UnsupportedAlgorithm) as odd:  # under a password, or of a kind that is not known
        raise ValueError(str(odd)) from odd
    certificate = x509.load_pem_x509_certificate(pem)
    if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != certificate.public_key():
        raise ValueError("the key is not that of the certificate")
    return Signed(certificate, key)


def names_here(host: str) -> Names:
    """This machine's names and addresses, and the one it listens on where that is none of them."""
    own = gethostname().lower()
    called = ["localhost", own, getfqdn().lower(), *([] if "." in own else [f"{own}.local"])]
    found: list[Address] = [IPv4Address("127.0.0.1"), IPv6Address("::1")]
    found += [ip_address(each) for each in lan_addresses()]
    try:
        listens = ip_address(host)
        found += [] if listens.is_unspecified else [listens]
    except ValueError:
        called.append(host.lower())
    return Names(tuple(dict.fromkeys(filter(_is_name, called))), tuple(dict.fromkeys(found)))


def _is_name(name: str) -> bool:
    """Whether a certificate can hold it; a machine without a name of its own is called by an address backwards."""
    labels = name.split(".")
    return all(label.replace("-", "").isascii() and label.replace("-", "").isalnum() for label in labels) and not (
        name.endswith(".arpa") and not name.endswith("home.arpa")
    )


def make_authority(names: Names, now: datetime) -> Signed:
    """A new authority, for these names and for private networks alone."""
    key = ec.generate_private_key(ec.SECP256R1())
    called = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"shedgrade on {names.dns[-1]}, {now:%Y-%m-%d}"[:64])])
    builder = (
        _builder(called, called, key, now, AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.NameConstraints(_permitted(names), None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )
    return Signed(builder.sign(key, hashes.SHA256()), key)


def make_certificate(authority: Signed, names: Names, now: datetime) -> Signed:
    """A certificate of this machine for the names that the authority may vouch for; it ends with the authority."""
    key = ec.generate_private_key(ec.SECP256R1())
    fit = permitted_of(authority, names)
    called = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "shedgrade")])
    lasts = min(LASTS, authority.certificate.not_valid_after_utc - now)
    others: list[x509.GeneralName] = [x509.DNSName(name) for name in fit.dns]
    others += [x509.IPAddress(each) for each in fit.addresses]
    issuer = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key())
    builder = (
        _builder(called, authority.certificate.subject, key, now, lasts)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(others), critical=False)
        .add_extension(issuer, critical=False)
    )
    return Signed(builder.sign(authority.key, hashes.SHA256()), key)


def names_in(signed: Signed) -> Names:
    """The names a certificate is good for."""
    held = signed.certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    addresses = [each for each in held.get_values_for_type(x509.IPAddress) if isinstance(each, Address)]
    return Names(tuple(held.get_values_for_type(x509.DNSName)), tuple(addresses))


def permitted_of(authority: Signed, names: Names) -> Names:
    """Those of the names that the authority may vouch for: all, where it says no limits."""
    try:
        held = authority.certificate.extensions.get_extension_for_class(x509.NameConstraints).value
    except x509.ExtensionNotFound:
        return names
    within = held.permitted_subtrees or []
    called = [each.value for each in within if isinstance(each, x509.DNSName)]
    networks = [each.value for each in within if isinstance(each, x509.IPAddress)]
    return Names(
        tuple(name for name in names.dns if any(name == each or name.endswith(f".{each}") for each in called)),
        tuple(each for each in names.addresses if any(_is_in(each, network) for network in networks)),
    )


def is_authority(certificate: x509.Certificate) -> bool:
    """Whether it may sign others."""
    try:
        return certificate.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    except x509.ExtensionNotFound:
        return False


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 over the certificate in groups that a person can compare."""
    figures = certificate.fingerprint(hashes.SHA256()).hex().upper()
    return " ".join(figures[at : at + 4] for at in range(0, len(figures), 4))


def _builder(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    return x509.CertificateBuilder(
        subject_name=subject,
        issuer_name=issuer,
        public_key=key.public_key(),
        serial_number=x509.random_serial_number(),
        not_valid_before=now - _CLOCKS_DIFFER,
        not_valid_after=now + lasts,
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _permitted(names: Names) -> Iterable[x509.GeneralName]:
    yield from (x509.DNSName(name) for name in dict.fromkeys((*_LOCAL_NAMES, *names.dns)))
    yield from (x509.IPAddress(network) for network in _LOCAL_NETWORKS)
    for each in names.addresses:
        if not any(_is_in(each, network) for network in _LOCAL_NETWORKS):
            yield x509.IPAddress(ip_network(each))


def _is_in(address: Address, network: object) -> bool:
    return isinstance(network, Network) and address.version == network.version and address in network
