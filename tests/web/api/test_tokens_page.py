"""Tokens are made on a page, shown once, and taken back there."""

from __future__ import annotations

import re
from html import unescape

from gylebook.store import tokens
from gylebook.store.people import set_password
from web import stocked
from web.api.asking import Script

PAGE = "/account/tokens/"


def made(post, **texts):
    return post(PAGE, {"name": "kitchen tablet", "may": "read", **texts}, page=PAGE)


def secret_on(page):
    return unescape(re.search(r'id="secret" class="ink" value="([^"]+)"', page)[1])


def test_a_token_is_made_shown_once_and_works(stocked_book, post, reader):
    response = made(post, may="both")
    assert response.status_code == 200
    secret = secret_on(response.content.decode())
    assert Script(secret).read("hello")["may"] == ["read", "write"]
    again = reader.get(PAGE).content.decode()
    assert "kitchen tablet" in again
    assert secret not in again


def test_a_token_only_reads_unless_more_is_chosen(stocked_book, post, reader):
    assert re.search(r'value="read"[^>]* checked', reader.get(PAGE).content.decode())
    assert Script(secret_on(made(post).content.decode())).read("hello")["may"] == ["read"]


def test_a_token_without_a_name_or_with_a_second_one_of_it_is_refused_beside_the_field(stocked_book, post):
    empty = post(PAGE, {"name": " ", "may": "read"}, page=PAGE)
    assert empty.status_code == 422
    assert "nothing was written" in empty.content.decode()
    made(post)
    twice = made(post)
    assert twice.status_code == 422
    assert "already" in twice.content.decode()
    assert len(tokens.listed()) == 1


def test_a_token_is_taken_back(stocked_book, post):
    secret = secret_on(made(post).content.decode())
    assert post(f"{PAGE}revoke/", {"name": "kitchen tablet"}, page=PAGE).status_code == 302
    assert Script(secret).get("today").status_code == 401
    assert post(f"{PAGE}revoke/", {"name": "kitchen tablet"}, page=PAGE).status_code == 404


def test_nobody_sees_or_ends_the_tokens_of_somebody_else(stocked_book, post, reader):
    set_password("Seven gyles of stout", "jo")
    tokens.make("shed script", "jo", "read", stocked.NOW)
    assert "shed script" not in reader.get(PAGE).content.decode()
    assert post(f"{PAGE}revoke/", {"name": "shed script"}, page=PAGE).status_code == 404
    assert len(tokens.listed()) == 1


def test_the_demo_has_no_tokens(books, reader):
    assert reader.get(f"/demo{PAGE}").status_code == 409
