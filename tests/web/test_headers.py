from __future__ import annotations

import re
from pathlib import Path

import pytest

from gylebook.web import settings as given

PAGES = ["/", "/brews/", "/demo/", "/demo/cellar/", "/no-such-page/", "/account/sign-in/"]
WEB = Path(given.__file__).parent


def policy(response):
    text = response["Content-Security-Policy"]
    return {name: values for name, *values in (part.split() for part in text.split("; "))}


@pytest.mark.parametrize("url", PAGES)
def test_every_page_keeps_a_strict_policy(reader, url):
    found = policy(reader.get(url))
    assert found["default-src"] == ["'self'"]
    assert found["form-action"] == ["'self'"]
    for name in ("object-src", "base-uri", "frame-ancestors"):
        assert found[name] == ["'none'"]
    assert "unsafe" not in str(found)


@pytest.mark.parametrize("url", PAGES)
def test_every_page_is_private_and_guards_itself(reader, url):
    response = reader.get(url)
    assert response["Cache-Control"] == "private, no-store"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Referrer-Policy"] == "same-origin"
    assert response["Cross-Origin-Opener-Policy"] == "same-origin"


def test_cookies_are_out_of_reach_of_scripts_and_of_other_sites(reader):
    reader.get("/")
    cookie = reader.cookies["gylebook_csrf"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
    assert given.SESSION_COOKIE_HTTPONLY
    assert given.SESSION_COOKIE_SAMESITE == "Lax"
    assert given.CSRF_COOKIE_SECURE is given.SESSION_COOKIE_SECURE is given.HTTPS


def test_a_style_sheet_may_be_kept_for_a_year_since_its_address_tells_its_content(reader):
    page = reader.get("/").content.decode()
    address = re.search(r'href="(/static/gylebook\.css\?[0-9a-f]{12})"', page)[1]
    response = reader.get(address)
    assert response.status_code == 200
    assert response["Cache-Control"] == "max-age=31536000, public"
    response.close()


def test_no_template_carries_script_or_style_in_line():
    for path in (WEB / "templates").rglob("*.html"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:|<script(?![^>]*\ssrc=)", text), path.name
        assert not re.search(r"(src|href)=[\"']?(https?:)?//", text), path.name


def test_nothing_is_fetched_from_elsewhere():
    for path in (WEB / "static").rglob("*"):
        if path.suffix in (".css", ".js", ".svg"):
            text = path.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
            assert not re.search(r"(https?:)?//[a-z]", text), path.name


def test_a_strangers_name_for_this_computer_is_refused(reader):
    response = reader.get("/", headers={"host": "evil.example"})
    assert response.status_code == 400
    assert "does not answer to" in response.content.decode()
    assert "evil.example" not in response.content.decode()
