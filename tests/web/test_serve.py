"""The server as a brewer starts it: a process of its own, on a free port, in a folder of its own."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time

import psutil
import pytest

from gylebook.errors import GylebookError
from gylebook.journal.events import SettingsKept
from gylebook.journal.state import Shelf
from gylebook.phrases import say_amount, tell
from gylebook.web import serve

STARTER = "import sys; from gylebook.web.serve import serve; serve(announce=lambda line: print(line, flush=True))"
SET_PASSWORD = (
    "import django; django.setup(); from django.conf import settings; from datetime import datetime, UTC;"
    "from gylebook.store.upgrade import bring_up_to_date; bring_up_to_date(settings.HOME, datetime.now(UTC));"
    "from gylebook.store.people import set_password; set_password('Seven gyles of stout')"
)


def free_port():
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return trial.getsockname()[1]


def environment(home, **further):
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("GYLEBOOK_", "DATABASE_URL"))}
    return {**kept, "GYLEBOOK_HOME": str(home), "DJANGO_SETTINGS_MODULE": "gylebook.web.settings", **further}


class Running:
    """A server, and its end."""

    def __init__(self, home, **further):
        self.port = free_port()
        env = environment(home, GYLEBOOK_PORT=str(self.port), **further)
        self.began = time.monotonic()
        self.process = subprocess.Popen(
            [sys.executable, "-c", STARTER], env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )

    def get(self, path, headers=None, address="127.0.0.1"):
        link = http.client.HTTPConnection(address, self.port, timeout=10)
        try:
            link.request("GET", path, headers=headers or {})
            answer = link.getresponse()
            return answer.status, answer.headers, answer.read().decode()
        finally:
            link.close()

    def wait(self):
        while True:
            try:
                return self.get("/static/mark.svg")
            except OSError:
                if self.process.poll() is not None or time.monotonic() - self.began > 30:
                    raise AssertionError(self.stop()) from None
                time.sleep(0.02)

    def stop(self):
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
        return self.process.communicate(timeout=20)[0]


@pytest.fixture
def run():
    started = []

    def start(home, **further):
        server = Running(home, **further)
        started.append(server)
        server.wait()
        return server

    yield start
    for server in started:
        server.stop()


def told(home, **further):
    """What a server that does not start says last."""
    done = subprocess.run(
        [sys.executable, "-c", STARTER],
        env=environment(home, **further),
        capture_output=True,
        text=True,
        timeout=30,
        check=False,
    )
    assert done.returncode == 1
    return done.stderr.splitlines()[-1]


def test_it_opens_a_new_book_on_this_computer_and_says_where(run, tmp_path):
    home = tmp_path / "home"
    server = run(home)
    status, headers, page = server.get("/")
    assert status == 200
    assert headers["Cache-Control"] == "private, no-store"
    assert "Today" in page
    assert server.get("/demo/")[0] == 200
    (listening,) = {
        (c.laddr.ip, c.laddr.port)
        for p in [psutil.Process(server.process.pid), *psutil.Process(server.process.pid).children(recursive=True)]
        for c in p.net_connections()
        if c.status == psutil.CONN_LISTEN
    }
    assert listening == ("127.0.0.1", server.port)
    assert server.stop().startswith(f"The book is open at http://127.0.0.1:{server.port}/\n")
    assert {"book.sqlite3", "demo.sqlite3"} <= {path.name for path in home.iterdir()}


def test_it_stays_below_150_mb(run, tmp_path):
    server = run(tmp_path)
    server.get("/")
    family = [psutil.Process(server.process.pid), *psutil.Process(server.process.pid).children(recursive=True)]
    taken = [process.memory_full_info() for process in family]
    server.stop()
    # Half of what the two processes hold is the same pages, which the computer gives up once.
    assert sum(each.uss for each in taken) + max(each.rss - each.uss for each in taken) < 150e6


def test_it_leaves_no_process_behind(run, tmp_path):
    server = run(tmp_path)
    family = psutil.Process(server.process.pid).children(recursive=True)
    assert family
    server.stop()
    _gone, alive = psutil.wait_procs(family, timeout=10)
    assert alive == []


def test_over_10_mb_are_refused_with_a_page(run, tmp_path):
    server = run(tmp_path)
    link = http.client.HTTPConnection("127.0.0.1", server.port, timeout=20)
    link.request("POST", "/look/", body=b"x" * (10 * 1024 * 1024 + 1))
    answer = link.getresponse()
    assert answer.status == 413
    assert "Too large to take in" in answer.read().decode()
    link.close()


def test_a_taken_port_is_said_in_one_sentence(tmp_path):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        line = told(tmp_path, GYLEBOOK_PORT=str(port))
    assert line.endswith(
        f"Port {port} is in use, perhaps by a Gylebook that is open already: close that, or choose another port."
    )


def test_without_a_password_it_does_not_open_to_the_house(tmp_path):
    line = told(tmp_path, GYLEBOOK_HOST="0.0.0.0", GYLEBOOK_PORT=str(free_port()))
    assert line.endswith(
        "Others could reach the book at 0.0.0.0, and it has no password: run “gylebook password” first, or open it "
        "with --lan, which lets phones in by a code."
    )


def test_with_a_password_it_opens_to_the_house_and_asks_everybody_for_it(run, tmp_path):
    subprocess.run([sys.executable, "-c", SET_PASSWORD], env=environment(tmp_path), check=True)
    server = run(tmp_path, GYLEBOOK_HOST="0.0.0.0")
    for path in ("/", "/brews/", "/demo/"):
        status, headers, _ = server.get(path)
        assert status == 302
        assert "/account/sign-in/?next=" in headers["Location"]
    assert server.get("/account/sign-in/")[0] == 200
    assert server.get("/static/gylebook.css")[0] == 200
    assert server.get("/", {"Host": "evil.example"})[0] == 400
    assert server.get("/account/sign-in/", {"Host": f"{socket.gethostname()}:{server.port}"})[0] == 200
    said = server.stop()
    assert f"http://localhost:{server.port}/" in said
    assert "Passwords travel unencrypted" in said


def test_an_address_that_is_not_this_computers_is_refused():
    with pytest.raises(GylebookError, match=r"cannot listen at 192\.0\.2\.1"):
        serve.try_port("192.0.2.1", free_port())


def test_a_certificate_without_its_key_is_refused(tmp_path):
    code = "from pathlib import Path; from gylebook.web.serve import serve; serve(certificate=Path('c.pem'))"
    done = subprocess.run(
        [sys.executable, "-c", code], env=environment(tmp_path), capture_output=True, text=True, check=False
    )
    assert "HTTPS: a certificate and its key belong together; name both files, or neither." in done.stderr


def test_with_a_certificate_the_book_is_open_by_https():
    assert serve.addresses("127.0.0.1", 8484, https=True) == ["The book is open at https://127.0.0.1:8484/"]
    assert serve.addresses("::1", 8484, https=False) == ["The book is open at http://[::1]:8484/"]


def test_own_names_are_names_and_addresses_of_this_computer():
    assert socket.gethostname() in serve.own_names()
    assert all(re.fullmatch(r"[\w.:-]+", name) for name in serve.own_names())


def test_the_server_module_costs_the_command_line_nothing():
    code = "import sys, gylebook.web.serve; print('django' in sys.modules or 'granian' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_backups_are_tended_beside_the_pages_until_the_server_stops(monkeypatch) -> None:
    tended = []
    monkeypatch.setattr(serve, "FIRST_BACKUP_AFTER_S", 0.0)
    monkeypatch.setattr("gylebook.store.backup_routine.tend", lambda clock, stop: tended.append((clock(), stop)))
    stop = threading.Event()
    serve.tend_backups(stop).join(5)
    (moment, told_to_stop) = tended[0]
    assert moment.tzinfo is not None
    assert told_to_stop is stop


def test_a_server_stopped_at_once_makes_no_backup(monkeypatch) -> None:
    tended = []
    monkeypatch.setattr("gylebook.store.backup_routine.tend", lambda *_: tended.append(True))
    stop = threading.Event()
    stop.set()
    serve.tend_backups(stop).join(5)
    assert not tended


def test_notices_are_tended_in_the_books_own_language_and_units(monkeypatch) -> None:
    """The thread has no reader whose voice it could speak with; it asks the book's settings at each look."""
    kept = SettingsKept(language="de", temperature="°F")
    tended = []
    monkeypatch.setattr(serve, "FIRST_NOTICES_AFTER_S", 0.0)
    monkeypatch.setattr("gylebook.store.brew_log.read_shelf", lambda: Shelf(settings=kept))
    monkeypatch.setattr("gylebook.store.notice_routine.tend", lambda *given, voice: tended.append((given, voice())))
    serve.tend_notices(threading.Event()).join(5)
    ((_, zone, _), own) = tended[0]
    assert zone() is not None
    assert (own.language, tell(say_amount(20, 0, "°C"), own)) == ("de", "68 °F")
