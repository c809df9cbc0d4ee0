"""The shell of Pocket: the same for everybody, listed with its prints, light, and open to whoever is there."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
import shutil
import struct

import pytest
from django.conf import settings

from gylebook.web.pocket import scripts
from gylebook.web.pocket.shell import script_address, shell

STATIC = settings.STATIC_ROOT
KILO = 1000
MOST_SCRIPT = 25 * KILO  # packed as it travels; the sums come later
ALONE = ("look.js", "worker.js")


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
    for address in re.findall(r'(?:href|src)="(/[^"]+\.(?:js|css|svg)[^"]*)"', page):
        assert address in files, address
    for address in list(files):
        for name in re.findall(r'(?:from |import\()"\./([^"]+)"', whole(reader.get(address)).decode(errors="replace")):
            assert f"{root}pocket/{name}" in files, (address, name)


def test_every_module_travels_in_one_part_of_the_scripts():
    parts = {part: made.content.decode() for part, made in scripts.scripts().items()}
    for path in (*(STATIC / "pocket").rglob("*.js"), STATIC / "modules" / "timer.js", STATIC / "modules" / "words.js"):
        first = re.search(r"^(?:export )?((?:const|class|let) \w+.*)", path.read_text(), re.MULTILINE)
        holds = [part for part, content in parts.items() if first and first[1] in content]
        assert len(holds) == (path.name not in ALONE), (path.name, holds)


@pytest.mark.parametrize(
    ("script", "fault"),
    [
        ('import * as all from "./store.js";\n', "cannot be joined"),
        ("export default 1;\n", "cannot be joined"),
        ('import { Store as Kept } from "./kept.js";\n', "another name"),
        ("const text = `a\n  b`;\n", "several lines"),
        ("const twin = 2;\n", "name of a module"),
    ],
)
def test_what_cannot_be_joined_is_refused(settings, tmp_path, script, fault):
    shutil.copytree(STATIC, tmp_path, dirs_exist_ok=True)
    settings.STATIC_ROOT = tmp_path
    (tmp_path / "pocket" / "kept.js").write_text("export const twin = 1, Store = 2;\n")
    changed = tmp_path / "pocket" / "pocket.js"
    changed.write_text('import { twin } from "./kept.js";\n' + script + changed.read_text())
    with pytest.raises(ValueError, match=fault):
        scripts.scripts()


def test_a_script_may_be_kept_for_good_by_its_print_and_no_longer_without(reader):
    address = script_address("page")
    assert "immutable" in reader.get(address)["Cache-Control"]
    assert reader.get(address.split("?")[0])["Cache-Control"] == "no-cache"
    assert reader.get("/pocket/nonsense.js").status_code == 404


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
    addresses = set(re.findall(r'(?:href|src)="(/(?:static|pocket)/[^"]+\.(?:js|css|svg)[^"]*)"', page.decode()))
    sizes = {address: len(gzip.compress(whole(reader.get(address)), 6)) for address in addresses}
    sizes["the page"] = len(gzip.compress(page, 6))
    sizes["the document"] = len(gzip.compress(reader.get("/api/pocket").content, 6))
    assert sum(size for address, size in sizes.items() if ".js" in address) <= MOST_SCRIPT, sizes
    assert sum(sizes.values()) <= 60 * KILO, sizes
    assert script_address("sums") not in addresses


def test_every_page_of_the_book_leads_there(reader):
    assert '<a href="/pocket/">In your pocket</a>' in reader.get("/about/").content.decode()
    assert '<a href="/demo/pocket/">In your pocket</a>' in reader.get("/demo/about/").content.decode()
