"""`gylebook serve --lan` as a process: HTTPS of its own, a page for new phones, and nobody in without a code."""

from __future__ import annotations

import json
import os
import signal
import socket
import ssl
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime

import pytest

from gylebook.store import authority, serving
from gylebook.web import guide, house
from web.served import House, two_free_ports

# A server whose computer is renamed while it runs: the names stand in a file.
RENAMED = """
import json, sys
from pathlib import Path
from gylebook.web import house, serve
names = lambda: json.loads(Path(sys.argv[1]).read_text())
house.own_names = serve.own_names = names
house.CHECK_EVERY_S = 0.2
serve.serve(port=int(sys.argv[2]), lan=True)
"""


@pytest.fixture(scope="module")
def open_house(tmp_path_factory):
    served = House(tmp_path_factory.mktemp("house") / "home")
    yield served
    served.stop()


@pytest.fixture
def run(tmp_path):
    started = []

    def start(*further, **env):
        started.append(House(tmp_path / "home", *further, **env))
        return started[-1]

    yield start
    for each in started:
        each.stop()


def refused(tmp_path, *args):
    done = subprocess.run(
        [sys.executable, "-m", "gylebook", "serve", *args],
        env={**os.environ, "GYLEBOOK_HOME": str(tmp_path)}, capture_output=True, text=True, timeout=30, check=False,
    )  # fmt: skip
    assert done.returncode != 0
    return done.stderr


@pytest.mark.parametrize("name", ["localhost", socket.gethostname(), "127.0.0.1"])
def test_who_trusts_the_authority_reads_by_https_under_each_name(open_house, name):
    status, headers, page = open_house.get("/account/sign-in/", name)
    assert status == 200
    assert "Nobody has a password in this book" in page
    assert "Strict-Transport-Security" not in headers


def test_who_does_not_trust_it_is_refused_before_anything_is_sent(open_house):
    with (
        socket.create_connection(("127.0.0.1", open_house.port), 10) as link,
        pytest.raises(ssl.SSLCertVerificationError),
    ):
        ssl.create_default_context().wrap_socket(link, server_hostname="localhost")


def test_every_page_asks_who_is_there_at_this_computer_too(open_house):
    for path in ("/", "/brews/", "/demo/", "/book/", "/account/devices/", "/account/people/"):
        status, headers, _ = open_house.get(path)
        assert (status, headers["Location"].partition("?")[0].removeprefix("/demo")) == (302, "/account/sign-in/"), path


def test_cookies_travel_by_https_alone(open_house):
    link = open_house.pair()
    _, headers, _ = open_house.get(link.partition(str(open_house.port))[2])
    assert "Secure" in headers["Set-Cookie"]
    assert "HttpOnly" in headers["Set-Cookie"]


def test_the_page_for_new_phones_gives_the_authority_and_how_to_trust_it(open_house):
    status, headers, page = open_house.guide("/")
    assert status == 200
    assert headers["Content-Security-Policy"].startswith("default-src 'none'")
    text = page.decode()
    for part in ("iPhone and iPad", "Android", "Certificate Trust Settings", 'href="/gylebook-authority.crt"'):
        assert part in text
    assert json.loads((open_house.home / "serving.json").read_bytes())["fingerprint"] in text
    kept = (open_house.home / "authority" / "authority.pem").read_text()
    assert open_house.authority.strip() in kept
    assert "PRIVATE" not in open_house.authority


def test_the_page_for_new_phones_speaks_the_phones_language(open_house):
    _, headers, page = open_house.guide("/", language="de-AT,de;q=0.9,en;q=0.8")
    assert headers["Content-Language"] == "de"
    assert '<html lang="de">' in page.decode()
    assert "Zertifikat" in page.decode()
    assert open_house.guide("/")[1]["Content-Language"] == "en-GB"
    assert open_house.guide("/guide.css", language="de")[1]["Content-Language"] is None


@pytest.mark.parametrize(
    "path",
    ["/account/sign-in/", "/book.pem", "/authority/authority.pem", "/../authority.pem", "/guide.css?x", "*"],
)
def test_nothing_else_is_reachable_beside_it(open_house, path):
    assert open_house.guide(path)[0] == 404


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS"])
def test_nothing_can_be_sent_to_it(open_house, method):
    assert open_house.guide("/", method)[0] == 501


def test_its_head_is_there_without_a_body(open_house):
    assert open_house.guide("/", "HEAD")[0::2] == (200, b"")


def test_no_code_stands_in_what_a_service_writes_to_its_log(open_house):
    said = open_house.said.read_text()
    assert f"The book is open at https://localhost:{open_house.port}/" in said
    assert "“gylebook pair” lets a phone in." in said
    assert "/pair/" not in said
    assert "unencrypted" not in said


def test_the_keys_are_for_their_owner_alone(open_house):
    folder = open_house.home / "authority"
    assert folder.stat().st_mode & 0o777 == 0o700
    assert {path.stat().st_mode & 0o777 for path in folder.iterdir()} == {0o600}


def test_pair_people_and_devices_know_where_the_book_is_open(open_house):
    answer = open_house.command("pair")
    assert answer["link"].startswith("https://")
    assert answer["link"].endswith("/")
    assert f":{open_house.port}/pair/" in answer["link"]
    assert f":{open_house.port + 1}/" in answer["guide"]
    assert f":{open_house.port}/invited/" in open_house.command("people", "--invite")["invitation"]["link"]


def test_the_authority_stays_from_one_start_to_the_next(run):
    first = run()
    mine = first.authority
    said = first.stop()
    assert "A new authority was made" in said
    assert not (first.home / "serving.json").exists()
    second = run()
    assert second.authority == mine
    assert "A new authority was made" not in second.stop()


def test_by_plain_http_the_book_says_what_a_phone_then_lacks(run):
    server = run("--http")
    said = server.said.read_text()
    assert "keeps no page for when it is out of reach, knows no passkeys, and lets its screen go dark" in said
    assert server.get("/")[0] == 302
    assert not (server.home / "authority").exists()
    with socket.socket() as trial:
        assert trial.connect_ex(("127.0.0.1", server.port + 1)) != 0
    assert server.command("pair")["link"].startswith("http://")


def test_where_the_next_port_is_taken_the_book_opens_all_the_same(tmp_path):
    port = two_free_ports()
    with socket.socket() as other:
        other.bind(("0.0.0.0", port + 1))
        other.listen()
        process = subprocess.Popen(
            [sys.executable, "-m", "gylebook", "serve", "--lan", "--port", str(port)],
            env={**os.environ, "GYLEBOOK_HOME": str(tmp_path)}, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        try:
            lines = []
            while "lets a phone in" not in (line := process.stdout.readline()):
                lines.append(line)
        finally:
            process.send_signal(signal.SIGTERM)
            process.communicate(timeout=20)
    assert any(f"Port {port + 1} is in use, so no page tells new phones" in line for line in lines)


def test_what_does_not_go_together_is_refused(tmp_path):
    assert "--http belongs to --lan" in refused(tmp_path, "--http")
    assert "Address: only this computer reaches 127.0.0.1" in refused(tmp_path, "--lan", "--host", "127.0.0.1")


def test_a_computer_that_is_renamed_gets_a_new_certificate_while_the_book_is_open(tmp_path):
    names, port = tmp_path / "names.json", two_free_ports()
    names.write_text(json.dumps(["localhost", "127.0.0.1", "10.1.1.1"]))
    process = subprocess.Popen(
        [sys.executable, "-c", RENAMED, str(names), str(port)],
        env={**os.environ, "GYLEBOOK_HOME": str(tmp_path / "home")}, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
    )  # fmt: skip
    try:
        before = wait_for_certificate(process, port, lambda _: True)
        names.write_text(json.dumps(["localhost", "127.0.0.1", "10.2.2.2"]))
        after = wait_for_certificate(process, port, lambda found: found != before)
        (tmp_path / "after.pem").write_text(after)
        shown = ssl._ssl._test_decode_cert(str(tmp_path / "after.pem"))["subjectAltName"]
        assert ("IP Address", "10.2.2.2") in shown
        assert ("IP Address", "10.1.1.1") not in shown
    finally:
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=30)


def wait_for_certificate(process, port, fits):
    end = time.monotonic() + 40
    while time.monotonic() < end and process.poll() is None:
        try:
            found = ssl.get_server_certificate(("127.0.0.1", port), timeout=5)
            if fits(found):
                return found
        except OSError:
            pass
        time.sleep(0.1)
    raise AssertionError(process.stderr.read() if process.poll() is not None else "no such certificate in time")


def test_a_new_address_is_answered_to_noted_and_served(tmp_path, monkeypatch, settings):
    monkeypatch.setattr(house, "CHECK_EVERY_S", 0.01)
    names = ["box", "10.1.1.1"]
    monkeypatch.setattr(house, "own_names", lambda: list(names))
    monkeypatch.setenv("GYLEBOOK_ALLOWED_HOSTS", "box")
    settings.ALLOWED_HOSTS = ["box"]
    authority.keep(tmp_path, names, datetime.now(UTC))
    serving.note(tmp_path, serving.Serving("https://10.1.1.1:8484/", "http://10.1.1.1:8485/", "AB"))
    stop, reloaded = threading.Event(), threading.Event()
    thread = house.tend_certificate(tmp_path, reloaded.set, stop)
    assert not reloaded.wait(0.3)
    names[1] = "10.2.2.2"
    assert reloaded.wait(10)
    stop.set()
    thread.join(10)
    assert settings.ALLOWED_HOSTS == ["box", "10.2.2.2"]
    assert os.environ["GYLEBOOK_ALLOWED_HOSTS"] == "box,10.2.2.2"
    assert serving.read(tmp_path) == serving.Serving("https://10.2.2.2:8484/", "http://10.2.2.2:8485/", "AB")


def test_the_name_for_links_is_the_one_that_stays_where_the_network_knows_it(monkeypatch):
    names = ["box", "box.local", "10.1.1.1"]

    def known(address):
        return lambda *_: [(socket.AF_INET, socket.SOCK_STREAM, 0, "", (address, 0))]

    monkeypatch.setattr(socket, "getaddrinfo", known("10.1.1.1"))
    assert house.best_name(names) == "box.local"
    monkeypatch.setattr(socket, "getaddrinfo", known("10.9.9.9"))  # somebody else's
    assert house.best_name(names) == "10.1.1.1"
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_: time.sleep(1.5) or [])
    assert house.best_name(names) == "10.1.1.1"
    assert house.best_name(["box"]) == "box"


def test_a_reader_who_says_nothing_holds_nobody_up(tmp_path):
    waiting = guide.listener("127.0.0.1", 0, {"/": ("text/plain", {"": b"here"})})
    guide.start(waiting)
    try:
        with (
            socket.create_connection(waiting.server_address),
            socket.create_connection(waiting.server_address) as other,
        ):
            other.sendall(b"GET / HTTP/1.0\r\n\r\n")
            other.settimeout(5)
            assert b"200" in other.recv(1000)
    finally:
        waiting.shutdown()
        waiting.server_close()
