"""A full request that is killed in the middle, more than once, is sent again until every entry is there, once."""

from __future__ import annotations

import http.client
import json
import os
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing, suppress

import psutil
import pytest

from web.test_serve import Running, environment

ENTRIES = 120


@pytest.fixture
def home(tmp_path):
    return tmp_path / "home"


def secret_of(home):
    words = [sys.executable, "-m", "gylebook", "tokens", "make", "phone", "--may", "both", "--json"]
    made = subprocess.run(words, env=environment(home), check=True, capture_output=True, text=True)
    return json.loads(made.stdout)["token"]


def post(server, secret, entries):
    link = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    try:
        headers = {"Authorization": f"Bearer {secret}", "Content-Type": "application/json"}
        link.request("POST", "/api/entries", json.dumps({"entries": entries}), headers)
        answer = link.getresponse()
        assert answer.status == 200
        return json.loads(answer.read())["results"]
    finally:
        link.close()


def written(home):
    with closing(sqlite3.connect(f"file:{home}/book.sqlite3?mode=ro", uri=True)) as book:
        return [row[0] for row in book.execute("SELECT command_id FROM journal_entry WHERE brew = '1' ORDER BY seq")]


def kill(server):
    """End the server and its workers as a power cut would."""
    whole = [*psutil.Process(server.process.pid).children(recursive=True), psutil.Process(server.process.pid)]
    for each in whole:
        with suppress(psutil.NoSuchProcess):
            each.kill()
    server.process.communicate(timeout=20)


@pytest.mark.skipif(os.name != "posix", reason="kills processes")
def test_a_request_that_is_killed_in_the_middle_is_sent_again_until_all_is_written_once(home):
    secret = secret_of(home)
    plan = {"id": "plan", "brew": "new", "act": "plan", "values": {"name": "Shed stout"}}
    rest = [
        {"id": f"e{n}", "brew": "1", "act": "temperature", "values": {"temp": f"{18 + n % 4} °C"}}
        for n in range(ENTRIES)
    ]
    server = Running(home)
    try:
        server.wait()
        assert post(server, secret, [plan])[0]["brew"] == "1"
        broken = 0
        for enough in (ENTRIES // 4, ENTRIES // 2):
            sender = threading.Thread(target=lambda own=server: suppressing(lambda: post(own, secret, rest)))
            sender.start()
            while len(written(home)) <= enough and sender.is_alive():
                time.sleep(0.002)
            kill(server)
            sender.join()
            broken += len(written(home)) < ENTRIES + 1
            server = Running(home)
            server.wait()
        found = post(server, secret, rest)
        assert broken, "the server was never killed in the middle"
        assert {each["status"] for each in found} <= {"written", "already"}
        assert written(home) == ["plan", *(f"e{n}" for n in range(ENTRIES))]
        assert {each["status"] for each in post(server, secret, rest)} == {"already"}
    finally:
        server.stop()


def suppressing(work):
    with suppress(OSError, http.client.HTTPException):
        work()
