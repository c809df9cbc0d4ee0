from __future__ import annotations

import os
import stat
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from gylebook.errors import InputError
from gylebook.web import environment


def test_a_secret_key_is_made_once_for_its_owner_alone(tmp_path):
    folder = tmp_path / "new" / "home"
    key = environment.secret_key(folder)
    assert len(key) >= 48
    assert environment.secret_key(folder) == key
    assert stat.S_IMODE((folder / environment.KEY_FILE).stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert [path.name for path in folder.iterdir()] == [environment.KEY_FILE]


def test_processes_that_start_together_share_one_key(tmp_path):
    with ThreadPoolExecutor(8) as pool:
        keys = set(pool.map(lambda _: environment.secret_key(tmp_path), range(32)))
    assert len(keys) == 1


def test_a_key_file_that_was_cut_short_is_refused_and_not_replaced(tmp_path):
    (tmp_path / environment.KEY_FILE).write_text("short")
    with pytest.raises(InputError, match="too short; delete the file"):
        environment.secret_key(tmp_path)
    assert (tmp_path / environment.KEY_FILE).read_text() == "short"


def test_reading_the_settings_writes_nothing(tmp_path):
    home = tmp_path / "home"
    code = "import django; django.setup(); from django.conf import settings; print(settings.PORT, settings.DEBUG)"
    env = {**os.environ, "GYLEBOOK_HOME": str(home), "DJANGO_SETTINGS_MODULE": "gylebook.web.settings"}
    env = {name: value for name, value in env.items() if name not in ("GYLEBOOK_PORT", "GYLEBOOK_DEBUG")}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["8484", "False"]
    assert not home.exists()


@pytest.mark.parametrize("text", ["http", "0", "65536", "-1", "84.84", "٨٠"])
def test_a_port_that_is_none_is_named_with_what_to_write(text):
    with pytest.raises(InputError, match="is no port; give a whole number from 1 to 65535"):
        environment.port({"GYLEBOOK_PORT": text})


@pytest.mark.parametrize("text", ["yes", "true", "on", "2"])
def test_a_switch_is_on_by_1_alone_so_that_a_slip_never_opens_the_book(text):
    with pytest.raises(InputError, match="neither 1 nor 0"):
        environment.switch({"GYLEBOOK_DEBUG": text}, "GYLEBOOK_DEBUG")


@pytest.mark.parametrize(
    ("address", "own"),
    [("127.0.0.1", True), ("127.8.8.8", True), ("::1", True), ("[::1]", True), ("localhost", True),
     ("0.0.0.0", False), ("::", False), ("192.168.1.20", False), ("127.evil.example", False), ("1270.0.0.1", False)],
)  # fmt: skip
def test_only_an_address_of_this_computer_goes_without_a_password(address, own):
    assert environment.is_loopback(address) is own
    assert environment.sign_in_required({"GYLEBOOK_HOST": address}) is not own


def test_a_password_can_be_asked_for_on_this_computer_too():
    assert environment.sign_in_required({"GYLEBOOK_SIGN_IN": "1"})


def test_the_book_answers_to_this_computer_and_to_names_it_was_told():
    assert environment.allowed_hosts({}) == ["127.0.0.1", "localhost", "[::1]"]
    told = environment.allowed_hosts({"GYLEBOOK_HOST": "192.168.1.20", "GYLEBOOK_ALLOWED_HOSTS": "cellar.local, gyle"})
    assert told[3:] == ["cellar.local", "gyle", "192.168.1.20"]
    assert environment.allowed_hosts({"GYLEBOOK_HOST": "fd00::1"})[-1] == "[fd00::1]"


def test_a_wildcard_name_is_refused():
    with pytest.raises(InputError, match="list the names"):
        environment.allowed_hosts({"GYLEBOOK_ALLOWED_HOSTS": "*"})


def test_the_time_zone_is_the_one_given_else_this_computers():
    assert environment.time_zone({"GYLEBOOK_TIME_ZONE": "Europe/London"}) == "Europe/London"
    assert environment.time_zone({"TZ": ":America/New_York"}) == "America/New_York"
    assert environment.time_zone({"TZ": "nonsense"})
    with pytest.raises(InputError, match="GYLEBOOK_TIME_ZONE: “Londn” is no time zone"):
        environment.time_zone({"GYLEBOOK_TIME_ZONE": "Londn"})
