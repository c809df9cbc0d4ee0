"""The authority's certificates, held against OpenSSL's own judgement in real handshakes."""

from __future__ import annotations

import contextlib
import ssl
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509

from gylebook.store import certificates

NOW = datetime.now(UTC)  # OpenSSL looks at the real clock
NAMES = ["cellar-box", "cellar-box.local", "192.168.1.20", "fd00::20"]


@pytest.fixture(scope="module")
def parent():
    return certificates.make_authority(certificates.limits_for(NAMES), "Gylebook of cellar-box", NOW)


@pytest.fixture(scope="module")
def leaf(parent):
    return certificates.make_leaf(parent, NAMES, NOW)


def shake_hands(tmp_path, leaf, trusted, name):
    """A whole handshake in memory, with a client that trusts one authority alone."""
    both = tmp_path / "both.pem"
    both.write_bytes(leaf.certificate + leaf.key)
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(both)
    client = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    client.load_verify_locations(cadata=trusted.certificate.decode())
    up, down = ssl.MemoryBIO(), ssl.MemoryBIO()
    here = client.wrap_bio(down, up, server_hostname=name)
    there = server.wrap_bio(up, down, server_side=True)
    for _ in range(4):
        for side in (here, there):
            with contextlib.suppress(ssl.SSLWantReadError):
                side.do_handshake()
    return here.getpeercert()


@pytest.mark.parametrize("name", NAMES)
def test_who_trusts_the_authority_trusts_the_book_under_each_of_its_names(tmp_path, parent, leaf, name):
    assert shake_hands(tmp_path, leaf, parent, name)["subjectAltName"]


@pytest.mark.parametrize("name", ["other-box.local", "example.org", "192.168.1.21", "fd00::21"])
def test_under_another_name_the_book_is_refused(tmp_path, parent, leaf, name):
    with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        shake_hands(tmp_path, leaf, parent, name)


def test_another_authority_does_not_vouch_for_the_book(tmp_path, leaf):
    other = certificates.make_authority(certificates.limits_for(NAMES), "Gylebook of cellar-box", NOW)
    with pytest.raises(ssl.SSLCertVerificationError):
        shake_hands(tmp_path, leaf, other, "cellar-box.local")


@pytest.mark.parametrize("name", ["example.org", "cellar-box.local.example.org", "203.0.113.7", "2001:db8::7", "local"])
def test_the_authority_cannot_vouch_for_a_place_beyond_the_house(tmp_path, parent, name):
    beyond = certificates.make_leaf(parent, [name], NOW)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
        shake_hands(tmp_path, beyond, parent, name)


def test_the_authority_cannot_make_another_authority(parent):
    found = x509.load_pem_x509_certificate(parent.certificate)
    basic = found.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)
    limits = found.extensions.get_extension_for_class(x509.NameConstraints)
    assert limits.critical
    assert limits.value.excluded_subtrees is None


def test_the_certificate_holds_for_no_longer_than_browsers_take(leaf, parent):
    found = x509.load_pem_x509_certificate(leaf.certificate)
    assert found.not_valid_after_utc - found.not_valid_before_utc <= timedelta(days=397)
    assert found.not_valid_before_utc < NOW
    assert found.not_valid_after_utc == leaf.ends_at
    assert timedelta(days=5 * 365) - timedelta(days=1) < parent.ends_at - NOW < timedelta(days=5 * 365 + 1)


def test_the_certificate_never_outlives_its_authority(parent):
    late = parent.ends_at - timedelta(days=10)
    assert certificates.make_leaf(parent, NAMES, late).ends_at == parent.ends_at


def test_an_address_beyond_the_private_ones_is_permitted_alone(tmp_path):
    limits = certificates.limits_for(["cellar-box", "203.0.113.7"])
    assert "203.0.113.7/32" in limits
    parent = certificates.make_authority(limits, "Gylebook of cellar-box", NOW)
    assert shake_hands(tmp_path, certificates.make_leaf(parent, ["203.0.113.7"], NOW), parent, "203.0.113.7")
    neighbour = certificates.make_leaf(parent, ["203.0.113.8"], NOW)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
        shake_hands(tmp_path, neighbour, parent, "203.0.113.8")


@pytest.mark.parametrize(
    ("name", "fits"),
    [
        ("cellar-box.local", True), ("a.cellar-box.local", True), ("Cellar-Box.", True), ("localhost", True),
        ("10.1.2.3", True), ("[fe80::1%eth0]", True), ("203.0.113.7", False), ("example.org", False),
        ("notcellar-box", False), ("2001:db8::1", False), ("no name", False), ("", False),
    ],
)  # fmt: skip
def test_what_it_may_vouch_for_is_known_before_it_signs(name, fits):
    assert certificates.permitted(name, certificates.limits_for(NAMES)) is fits


def test_names_that_no_certificate_can_carry_are_left_out():
    names, addresses = certificates.sorted_names(
        ["Box", "box", "under_score", "-x", "a..b", "x" * 64, "[::1]", "10.0.0.1"]
    )
    assert names == ("box",)
    assert [str(each) for each in addresses] == ["::1", "10.0.0.1"]


def test_the_fingerprint_is_the_one_that_others_reckon(parent):
    from cryptography.hazmat.primitives import hashes

    found = x509.load_pem_x509_certificate(parent.certificate)
    assert (
        certificates.fingerprint(parent.certificate).replace(":", "").lower()
        == found.fingerprint(hashes.SHA256()).hex()
    )
    assert certificates.fingerprint(parent.certificate).count(":") == 31
    assert x509.load_der_x509_certificate(certificates.der(parent.certificate)) == found
