"""A certificate authority for one household, and the certificate of its book: pure, PEM in and PEM out.

The authority may vouch for a few names and for private addresses only, and says so in a critical extension: whoever
trusts it for the book does not trust it, or a thief of its key, for any other place (RFC 5280, section 4.2.1.10).
"""

from __future__ import annotations

import base64
import hashlib
import ipaddress
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

LEAF_DAYS = 397  # the longest that browsers take from anybody
AUTHORITY_DAYS = 5 * 365
# Clocks of phones differ a little from this computer's.
_EARLIER = timedelta(hours=1)
PRIVATE = (
    "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8",
    "fc00::/7", "fe80::/10", "::1/128",
)  # fmt: skip
_LABEL = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)")

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


@dataclass(frozen=True, slots=True)
class Pair:
    """A certificate and its key, both PEM, and the moment until which it holds."""

    certificate: bytes
    key: bytes
    ends_at: datetime


def sorted_names(names: Sequence[str]) -> tuple[tuple[str, ...], tuple[Address, ...]]:
    """Names that a certificate can carry, and addresses, each once and in the order given."""
    found: dict[str, None] = {}
    addresses: dict[Address, None] = {}
    for name in names:
        bare = name.strip().strip("[]").rstrip(".").lower()
        try:
            addresses[ipaddress.ip_address(bare.partition("%")[0])] = None
        except ValueError:
            if bare and len(bare) <= 253 and all(_LABEL.fullmatch(label) for label in bare.split(".")):
                found[bare] = None
    return tuple(found), tuple(addresses)


def is_private(address: Address) -> bool:
    """Whether every authority may vouch for it."""
    return any(address in ipaddress.ip_network(network) for network in PRIVATE)


def permitted(name: str, within: Sequence[str]) -> bool:
    """Whether an authority with these names and networks may vouch for this name or address.

    Parameters
    ----------
    name
        A name or an address.
    within
        Names (with all below them) and networks, as `make_authority` was given them and as PRIVATE lists them.
    """
    names, addresses = sorted_names([name])
    if names:
        return any(names[0] == each or names[0].endswith(f".{each}") for each in within if "/" not in each)
    networks = [ipaddress.ip_network(each) for each in within if "/" in each]
    return bool(addresses) and any(addresses[0] in network for network in networks)


def limits_for(names: Sequence[str]) -> tuple[str, ...]:
    """What an authority made for these names may vouch for: the names, all private networks, and the very addresses.

    An address beyond the private networks is taken in alone, as a network of one.
    """
    plain, addresses = sorted_names([*names, "localhost"])
    alone = [f"{each}/{each.max_prefixlen}" for each in addresses if not is_private(each)]
    return (*plain, *PRIVATE, *alone)


def make_authority(limits: Sequence[str], title: str, now: datetime) -> Pair:
    """A new authority that may vouch for these limits alone, for about five years.

    Parameters
    ----------
    limits
        As `limits_for` gives them.
    title
        The name under which phones list it.
    now
        The moment from which it holds.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import ExtendedKeyUsageOID

    key = ec.generate_private_key(ec.SECP256R1())
    ends_at = (now + timedelta(days=AUTHORITY_DAYS)).replace(microsecond=0)
    subject = _named(title)
    constraints = [x509.IPAddress(ipaddress.ip_network(each)) if "/" in each else x509.DNSName(each) for each in limits]
    builder = (
        _begun(subject, subject, key, now, ends_at)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(authority=True), critical=True)
        .add_extension(x509.NameConstraints(permitted_subtrees=constraints, excluded_subtrees=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )
    return _signed(builder, key, key, ends_at)


def make_leaf(authority: Pair, names: Sequence[str], now: datetime) -> Pair:
    """A certificate for these names and addresses, signed by the authority; its PEM holds the authority's too.

    It holds for 397 days, or as long as the authority where that is less. The authority's limits are not looked at
    here: whoever checks the certificate refuses what lies beyond them.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import ExtendedKeyUsageOID

    parent = x509.load_pem_x509_certificate(authority.certificate)
    parent_key = serialization.load_pem_private_key(authority.key, password=None)
    assert isinstance(parent_key, ec.EllipticCurvePrivateKey)
    key = ec.generate_private_key(ec.SECP256R1())
    ends_at = min((now - _EARLIER + timedelta(days=LEAF_DAYS)).replace(microsecond=0), parent.not_valid_after_utc)
    plain, addresses = sorted_names(names)
    also = [*map(x509.DNSName, plain), *map(x509.IPAddress, addresses)]
    builder = (
        _begun(_named("Gylebook"), parent.subject, key, now, ends_at)
        .add_extension(x509.SubjectAlternativeName(also), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(authority=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(parent_key.public_key()), critical=False)
    )
    made = _signed(builder, key, parent_key, ends_at)
    chain = made.certificate + parent.public_bytes(serialization.Encoding.PEM)
    return Pair(chain, made.key, made.ends_at)


def fingerprint(certificate: bytes) -> str:
    """SHA-256 of a PEM certificate as phones show it: pairs of capitals with colons between."""
    return hashlib.sha256(der(certificate)).digest().hex(":").upper()


def der(certificate: bytes) -> bytes:
    """The first certificate of a PEM text, as the bytes that phones take."""
    begin, end = b"-----BEGIN CERTIFICATE-----", b"-----END CERTIFICATE-----"
    return base64.b64decode(certificate.partition(begin)[2].partition(end)[0])


def _named(title: str) -> Any:
    from cryptography import x509

    return x509.Name(
        [
            x509.NameAttribute(x509.NameOID.ORGANIZATION_NAME, "Gylebook"),
            x509.NameAttribute(x509.NameOID.COMMON_NAME, title[:64]),
        ]
    )


def _begun(subject: Any, issuer: Any, key: Any, now: datetime, ends_at: datetime) -> Any:
    from cryptography import x509

    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before((now - _EARLIER).replace(microsecond=0))
        .not_valid_after(ends_at)
    )


def _usage(*, authority: bool) -> Any:
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not authority, key_cert_sign=authority, crl_sign=authority,
        content_commitment=False, key_encipherment=False, data_encipherment=False, key_agreement=False,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip


def _signed(builder: Any, key: Any, by: Any, ends_at: datetime) -> Pair:
    from cryptography.hazmat.primitives import hashes, serialization

    certificate = builder.sign(by, hashes.SHA256()).public_bytes(serialization.Encoding.PEM)
    secret = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    return Pair(certificate, secret, ends_at)
