"""The shell of Pocket: the same for everybody, listed with its prints, light, and open to whoever is there."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
import struct

import pytest
from django.conf import settings

from gylebook.web.pocket.shell import NO_MODULES, shell

STATIC = settings.STATIC_ROOT
KILO = 1000


def worker_of(reader, root="/", query=""):
    answer = reader.get(f"{root}pocket/worker.js{query}")
    told = json.loads(re.search(r"^const SHELL = (.*);$", answer.content.decode(), re.MULTILINE)[1])
    return answer, told


def whole(answer):
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


def test_the_page_is_open_to_a_stranger_and_holds_nothing_of_anybody(reader, shared):
    answer = reader.get("/pocket/")
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "no-cache"
    assert "Set-Cookie" not in answer.headers
    assert not answer.cookies
    assert "owner" not in answer.content.decode()
    assert "data-sign-in" in answer.content.decode()


def test_it_runs_under_the_strict_policy_with_nothing_inline(reader):
    answer = reader.get("/pocket/")
    policy = answer["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    page = answer.content.decode()
    assert not re.search(r"<style|style=|\son[a-z]+=|<script(?![^>]*src=)", page)


@pytest.mark.parametrize("root", ["/", "/demo/"])
def test_the_worker_lists_every_file_with_its_print(reader, root):
    answer, told = worker_of(reader, root)
    assert answer["Service-Worker-Allowed"] == told["scope"] == f"{root}pocket/"
    assert answer["Content-Type"].startswith("text/javascript")
    files = dict(map(tuple, told["files"]))
    for address, stamp in files.items():
        found = reader.get(address)
        assert found.status_code == 200, address
        assert stamp == "sha256-" + base64.b64encode(hashlib.sha256(whole(found)).digest()).decode(), address
    page = reader.get(f"{root}pocket/").content.decode()
    for address in re.findall(r'(?:href|src)="(/static/[^"]+\.(?:js|css|svg))"', page):
        assert address in files, address


def test_every_module_that_is_imported_is_in_the_shell(reader):
    files = {address for address, _ in worker_of(reader)[1]["files"]}
    for path in (STATIC / "pocket").rglob("*.js"):
        for name in re.findall(r'(?:from|import) ?\(?"(\.[^"]+)"', path.read_text()):
            address = "/static/" + (path.parent / name).resolve().relative_to(STATIC.resolve()).as_posix()
            # The sums come along once they are there; the page shows them only then.
            assert address in files or address == "/static/pocket/sums/index.js", (path.name, name)


def test_its_version_is_that_of_its_content(reader, settings, tmp_path):
    for path in STATIC.rglob("*"):
        if path.is_file():
            (tmp_path / path.relative_to(STATIC)).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / path.relative_to(STATIC)).write_bytes(path.read_bytes())
    before = shell("/")
    settings.STATIC_ROOT = tmp_path
    assert shell("/").version == before.version
    (tmp_path / "pocket" / "pocket.css").write_text("body {}")
    assert shell("/").version != before.version


def test_only_a_worker_that_is_a_module_imports(reader):
    assert re.search(r"^import ", worker_of(reader, query="?module")[0].content.decode(), re.MULTILINE)
    assert not re.search(r"^(import|export) ", worker_of(reader)[0].content.decode(), re.MULTILINE)


def test_the_manifest_names_icons_of_their_size(reader):
    told = json.loads(reader.get("/pocket/manifest.webmanifest").content)
    assert (told["start_url"], told["scope"], told["display"]) == ("/pocket/", "/pocket/", "standalone")
    assert {each["purpose"] for each in told["icons"]} == {"any", "maskable"}
    for icon in told["icons"]:
        content = (STATIC / icon["src"].removeprefix("/static/")).read_bytes()
        assert content.startswith(b"\x89PNG")
        assert "x".join(map(str, struct.unpack(">II", content[16:24]))) == icon["sizes"]


def test_a_first_visit_is_light(filled_book, reader):
    """As it travels: packed by the server itself. The sums are fetched when they are first wanted, or by the worker."""
    page = reader.get("/pocket/").content
    addresses = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', page.decode()))
    addresses = {address for address in addresses if not address.endswith(".png")}
    sizes = {address: len(gzip.compress(whole(reader.get(address)), 6)) for address in addresses}
    sizes["the page"] = len(gzip.compress(page, 6))
    sizes["the document"] = len(gzip.compress(reader.get("/api/pocket").content, 6))
    scripts = sum(size for address, size in sizes.items() if address.endswith(".js"))
    assert scripts <= 35 * KILO, sizes
    assert sum(sizes.values()) <= 60 * KILO, sizes
    assert not [address for address in addresses if address.endswith(tuple(f"/{name}" for name in NO_MODULES[1:]))]


def test_every_page_of_the_book_leads_there(reader):
    assert '<a href="/pocket/">In your pocket</a>' in reader.get("/about/").content.decode()
    assert '<a href="/demo/pocket/">In your pocket</a>' in reader.get("/demo/about/").content.decode()
