from __future__ import annotations

import os
import ssl
import subprocess
import sys
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509

from gylebook.errors import GylebookError
from gylebook.store import authority

NOW = datetime(2026, 11, 3, 18, 30, tzinfo=UTC)
NAMES = ("cellar-box", "cellar-box.local", "192.168.1.20")


def names_of(kept):
    found = x509.load_pem_x509_certificate(kept.path.read_bytes())
    also = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {*also.get_values_for_type(x509.DNSName), *map(str, also.get_values_for_type(x509.IPAddress))}


@pytest.fixture
def kept(tmp_path):
    return authority.keep(tmp_path, NAMES, NOW)


def test_the_first_time_makes_an_authority_and_a_certificate_for_all_names(kept):
    assert kept.new_authority
    assert kept.new_certificate
    assert kept.beyond == ()
    assert names_of(kept) == {*NAMES, "localhost", "127.0.0.1"} == set(kept.names)
    assert kept.ends_at > NOW + timedelta(days=390)


def test_nobody_else_on_this_computer_can_read_the_keys(tmp_path, kept):
    folder = tmp_path / "authority"
    assert folder.stat().st_mode & 0o777 == 0o700
    assert {path.name for path in folder.iterdir()} == {"authority.pem", "book.pem", "made.json"}
    for path in folder.iterdir():
        assert path.stat().st_mode & 0o777 == 0o600


def test_the_folder_is_closed_again_where_it_stood_open(tmp_path):
    folder = tmp_path / "authority"
    folder.mkdir(mode=0o755)
    folder.chmod(0o755)
    authority.keep(tmp_path, NAMES, NOW)
    assert folder.stat().st_mode & 0o777 == 0o700


def test_what_goes_to_phones_holds_no_key(kept):
    assert x509.load_der_x509_certificate(kept.authority)
    assert b"PRIVATE" not in kept.authority


def test_while_it_holds_nothing_is_made_anew_and_nothing_is_started(tmp_path, kept, monkeypatch):
    before = kept.path.read_bytes()
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: pytest.fail("nothing is due"))
    again = authority.keep(tmp_path, NAMES, NOW + timedelta(days=300))
    assert not again.new_authority
    assert not again.new_certificate
    assert again.path.read_bytes() == before
    assert again.fingerprint == kept.fingerprint


def test_near_its_end_the_certificate_is_renewed_and_the_authority_stays(tmp_path, kept):
    later = kept.ends_at - timedelta(days=29)
    again = authority.keep(tmp_path, NAMES, later)
    assert again.new_certificate
    assert not again.new_authority
    assert again.authority == kept.authority
    assert again.ends_at > later + timedelta(days=390)


def test_a_changed_address_is_taken_in(tmp_path, kept):
    again = authority.keep(tmp_path, ("cellar-box", "cellar-box.local", "10.0.0.9"), NOW)
    assert again.new_certificate
    assert again.authority == kept.authority
    assert "10.0.0.9" in names_of(again)
    assert "192.168.1.20" not in names_of(again)


def test_a_name_beyond_its_limits_is_told_and_left_out(tmp_path, kept):
    again = authority.keep(tmp_path, (*NAMES, "other-box.local"), NOW)
    assert again.beyond == ("other-box.local",)
    assert "other-box.local" not in names_of(again)
    assert not again.new_authority


def test_near_its_end_the_authority_is_made_anew(tmp_path, kept):
    again = authority.keep(tmp_path, NAMES, NOW + timedelta(days=5 * 365 - 30))
    assert again.new_authority
    assert again.fingerprint != kept.fingerprint


def test_a_part_that_is_gone_is_made_anew(tmp_path, kept):
    (tmp_path / "authority" / "authority.pem").unlink()
    assert authority.keep(tmp_path, NAMES, NOW).new_authority


def test_the_file_serves_as_it_is(kept):
    ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(kept.path, kept.path)


def test_a_note_that_does_not_read_is_told_with_what_to_do(tmp_path, kept):
    (tmp_path / "authority" / "made.json").write_text("{")
    with pytest.raises(GylebookError, match="delete the folder"):
        authority.keep(tmp_path, NAMES, NOW)


def test_a_folder_that_cannot_be_is_told_in_one_sentence(tmp_path):
    (tmp_path / "authority").write_text("in the way")
    with pytest.raises(GylebookError, match="cannot be kept in"):
        authority.keep(tmp_path, NAMES, NOW)


def test_keeping_certificates_leaves_what_signs_them_out_of_memory():
    code = "import sys, gylebook.store.authority; print('cryptography' in sys.modules, 'django' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=dict(os.environ)
    )
    assert done.stdout.split() == ["False", "False"]
