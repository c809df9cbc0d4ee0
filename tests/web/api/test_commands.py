"""Beside every chart stands a command that gets the same as data."""

from __future__ import annotations

import re
from html import unescape

from gylebook.steps.sums import SUMS

_COMMAND = re.compile(r"<p><code>(curl [^<]+)</code></p>")


def address_in(page):
    (command,) = _COMMAND.findall(page)
    found = re.search(r'"http://testserver(/[^"]*)"$', unescape(command))
    assert 'Authorization: Bearer $TOKEN"' in unescape(command)
    return found[1]


def test_beside_a_brews_chart(owner):
    page = owner.client.get("/brews/3/").content.decode()
    address = address_in(page)
    assert address == "/api/brews/3"
    readings = owner.read(address.removeprefix("/api/"))["course"]["readings"]
    assert [each["value"] for each in readings]


def test_beside_the_chart_of_a_sum_with_the_units_that_were_chosen(owner):
    asked = {**SUMS["forecast"].example, "original": "10.5", "original-unit": "°P"}
    page = owner.client.get("/reckon/forecast/", asked).content.decode()
    found = owner.read(address_in(page).removeprefix("/api/"))
    assert found["asked"]["original"] == "10.5 °P"
    assert found["fan"]["day"]
    assert found["headline"] in unescape(re.sub(r"<[^>]+>", "", page))


def test_every_chart_of_the_pages_has_its_command(owner):
    pages = ["/brews/1/", "/brews/2/", "/brews/3/"]
    for address in pages:
        page = owner.client.get(address).content.decode()
        assert page.count('class="chart-figure"') == len(_COMMAND.findall(page)) == 1
