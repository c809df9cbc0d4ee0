"""Every page is held against axe-core's rules: WCAG 2.2 to AA and what is customary beyond it; none may be broken.

Pages are reached by their links, as a reader reaches them, with everything that folds away lying open. What stands on
them is judged once on a phone in the light; in the dark, where nothing but colours differs, the rules of colour again;
and one page of each template on a desk as well, in both looks.
"""

from __future__ import annotations

import hashlib
import re
import shutil
from pathlib import Path

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client, override_settings
from django.urls import include, path

from books import opened
from web import demo_filled
from web.test_browser import ADDRESS
from web.test_browser_of_the_second_half import chromium
from web.test_devices import code, house, send
from web.test_people import invitation, mine
from web.test_print import Once, one_of_each
from web.walking import Walk

__all__ = ["chromium", "house", "invitation", "mine"]  # fixtures, used by name

AXE = Path(__file__).parent / "axe" / "axe.min.js"
# Of version 4.14.1 as its makers publish it on npm.
AXE_SHA256 = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 900}
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OF_COLOUR = ["color-contrast", "link-in-text-block"]
OPENED = "() => document.querySelectorAll('details').forEach(each => { each.open = true; })"
JUDGED = """async only => {
    const found = await axe.run(document, {resultTypes: ['violations'], runOnly: only});
    return [found.passes.length, found.violations.flatMap(rule => rule.nodes.slice(0, 3).map(node =>
        `${rule.id}: ${node.target} ${node.html.slice(0, 120)} ${node.any.concat(node.all, node.none)[0]?.message ?? ''}`))]; }"""
TEMPLATES = [
    re.compile(one)
    for one in (
        r"/$", r"/brews/$", r"/brews/new/$", r"/brews/\d+/$", r"/brews/\d+/log/$", r"/brews/\d+/log/\d+/$",
        r"/brews/\d+/something/$", r"/brews/\d+/bottling/filling/$", r"/brews/\d+/papers/$", r"/brews/\d+/beside/$",
        r"/brews/\d+/beside/\d+/$", r"/brews/\d+/(readings|priming|plan)/$", r"/brews/\d+/(readings|cleaning)/bench/$",
        r"/cellar/$", r"/stores/$", r"/stores/log/$", r"/stores/kits/[^/]+/$", r"/reckon/$", r"/reckon/reading/", r"/settings/$",
        r"/settings/(learned|notices|places)/$", r"/book/$", r"/book/import/$", r"/about/$", r"/law/", r"/sources/$", r"/keys/$",
        r"/dangerous-bottles/$", r"/api/$", r"/pocket/$",
    )
]  # fmt: skip


def test_the_rules_are_those_that_their_makers_published():
    assert hashlib.sha256(AXE.read_bytes()).hexdigest() == AXE_SHA256


class Judge:
    """A browser that asks a reader for its pages and tells which rules they break."""

    def __init__(self, chromium, reader):
        self.reader = reader
        self.context = chromium.new_context(viewport=PHONE, color_scheme="light")
        self.context.add_init_script(path=AXE)
        self.context.route("**/*", self._answer)
        self.page = self.context.new_page()
        self.given = {}

    def _answer(self, route, request):
        address = request.url.removeprefix(ADDRESS)
        response = self.given.get(address) or self.reader.get(address)
        body = self.reader.bodies.get(address) or response.content
        route.fulfill(status=response.status_code, headers=dict(response.headers), body=body)

    def opened(self, url):
        """The page on a phone in the light, all that folds away lying open."""
        self.page.set_viewport_size(PHONE)
        self.page.emulate_media(color_scheme="light")
        self.page.goto(ADDRESS + url)
        self.page.get_by_role("heading", level=1).first.wait_for()  # Pocket writes its own when it has opened
        self.page.wait_for_load_state("networkidle")  # and goes on writing with what it is told
        self.page.evaluate(OPENED)
        return self.page

    def broken(self, url, *, on_a_desk=False):
        """The rules that a page breaks, in words; `on_a_desk` looks at it there too."""
        self.opened(url)
        yield from self._looked(f"{url} on a phone", PHONE)
        if on_a_desk:
            self.page.emulate_media(color_scheme="light")
            yield from self._looked(f"{url} on a desk", DESK)

    def _looked(self, where, screen):
        # As high as the page: what is fixed to the foot of the screen else lies over whatever happens to be there.
        self.page.set_viewport_size(screen)
        self.page.set_viewport_size({**screen, "height": self.page.evaluate("document.documentElement.scrollHeight")})
        passed, found = self.page.evaluate(JUDGED, {"type": "tag", "values": TAGS})
        assert passed > 10, where
        yield from (f"{where}, light: {each}" for each in found)
        self.page.emulate_media(color_scheme="dark")
        _, found = self.page.evaluate(JUDGED, {"type": "rule", "values": OF_COLOUR})
        yield from (f"{where}, dark: {each}" for each in found)

    def broken_on(self, urls):
        """What all these pages break; the first of each template is looked at on a desk too."""
        waiting, found = list(TEMPLATES), []
        for url in urls:
            template = next((each for each in waiting if each.match(url)), None)
            if template:
                waiting.remove(template)
            found += self.broken(url, on_a_desk=template is not None)
        return found

    def broken_by(self, url, response):
        """What a page breaks that only comes as the answer to a form, or cannot be fetched twice."""
        self.given[url] = response
        return list(self.broken(url, on_a_desk=True))


@pytest.fixture
def judge_of(chromium, settings, monkeypatch):
    """Makes a judge of what a reader is given."""
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the browser's own loop is not a server's
    settings.ALLOWED_HOSTS = ["127.0.0.1", "testserver"]
    made = []

    def make(reader):
        made.append(Judge(chromium, reader))
        return made[-1]

    yield make
    for each in made:
        each.context.close()


@pytest.fixture
def judge(filled_book, judge_of):
    return judge_of(InTheLight())


class InTheLight(Once):
    """A reader that leaves the look to the device."""

    def __init__(self, client=None):
        super().__init__()
        self.client.cookies.clear()
        self.client = client or self.client


def none_broken(found):
    assert not found, f"{len(found)} broken:\n" + "\n".join(found)


def test_on_every_page_outside_the_brews(judge):
    urls = one_of_each(Walk(judge.reader).reached("/", r"(?!/brews/\d|/sources/.)"))
    assert len(urls) > 50
    assert {"/pocket/", "/api/", "/dangerous-bottles/"} <= set(urls)
    none_broken(judge.broken_on([*urls, "/sources/density_closure/"]))


@pytest.mark.parametrize("brew", [3, 4])
def test_on_every_page_of_a_brew_that_ferments_and_of_one_in_bottles(judge, brew):
    inside = rf"/brews/{brew}/" if brew == 3 else rf"/brews/{brew}/(?!.*\?act=)"  # a form is the same for every brew
    urls = one_of_each(Walk(judge.reader).reached(f"/brews/{brew}/", inside))
    assert len(urls) > 25
    assert f"/brews/{brew}/readings/bench/" in urls
    none_broken(judge.broken_on(urls))


def raising(error):
    def view(request):
        raise error

    return view


urlpatterns = [
    path("theirs/", raising(PermissionDenied("inner words"))),
    path("crash/", raising(ValueError("inner words"))),
    path("", include("gylebook.web.urls")),
]
handler400 = "gylebook.web.faults.bad_request"
handler403 = "gylebook.web.faults.forbidden"
handler404 = "gylebook.web.faults.not_found"
handler500 = "gylebook.web.faults.crashed"


@override_settings(ROOT_URLCONF=__name__)
def test_on_every_page_of_what_went_wrong(judge_of, books):
    client = Client(raise_request_exception=False, headers={"host": "127.0.0.1"})
    judge = judge_of(InTheLight(client))
    too_large = client.generic("POST", "/book/import/", b"x" * (10 * 1024 * 1024 + 1), "application/octet-stream")
    without_its_mark = Client(enforce_csrf_checks=True, headers={"host": "127.0.0.1"}).post("/look/", {"look": "dark"})
    answers = {
        404: client.get("/no-such-page/"), 403: client.get("/theirs/"), 500: client.get("/crash/"), 413: too_large,
        409: without_its_mark,
    }  # fmt: skip
    assert [each.status_code for each in answers.values()] == [404, 403, 500, 413, 403]
    none_broken([each for status, answer in answers.items() for each in judge.broken_by(f"/answer-{status}/", answer)])


def test_on_every_page_of_an_empty_book(judge_of, books):
    judge = judge_of(InTheLight(Client(headers={"host": "127.0.0.1"})))
    urls = [
        "/",
        "/brews/",
        "/brews/new/",
        "/cellar/",
        "/stores/",
        "/stores/log/",
        "/reckon/",
        "/settings/",
        "/settings/learned/",
        "/book/",
    ]
    none_broken(judge.broken_on(urls))


def test_on_pages_of_the_demo_book(judge_of, library, filled, monkeypatch):
    demo_filled.clock(monkeypatch)
    demo = library.settings("sqlite")
    shutil.copyfile(filled, demo["NAME"])
    with opened("default", library.settings("sqlite")), opened("demo", demo):
        judge = judge_of(InTheLight(Client(headers={"host": "127.0.0.1"})))
        none_broken(judge.broken_on(["/demo/", "/demo/brews/", "/demo/brews/4/", "/demo/cellar/", "/demo/keys/"]))


def test_on_answers_to_forms(judge, filled_book):
    client = judge.reader.client
    slip = client.post(
        "/brews/3/readings/", {"act": "reading", "gravity": "1062", "temp": "soup", "command_id": "slip"}
    )
    unread = client.get("/reckon/priming/?volume=soup")
    begun = client.post(
        "/brews/4/bottling/filling/", {"act": "filling", "what": "begun", "volume": "20 L", "command_id": "begin"}
    )
    filling = client.get("/brews/4/bottling/filling/")
    written = client.post("/brews/3/readings/", {"act": "temperature", "temp": "19 °C", "command_id": "warm"})
    told, calendar = client.get("/brews/3/"), client.post("/calendar/make/")
    assert [each.status_code for each in (slip, unread, begun, filling, written, told)] == [
        422,
        422,
        302,
        200,
        302,
        200,
    ]
    answers = {"slip": slip, "calendar": calendar, "unread": unread, "filling": filling, "told": told}
    none_broken([each for name, answer in answers.items() for each in judge.broken_by(f"/answer-{name}/", answer)])


def test_on_the_pages_by_which_others_come_in(judge_of, house, mine, settings):
    client = mine
    judge = judge_of(InTheLight(client))
    stranger = Client(headers={"host": "127.0.0.1"})
    link = f"/pair/{code()}/"
    answers = {
        "sign-in": stranger.get("/account/sign-in/"), "pair": stranger.get(link), "no-entry": stranger.get("/pair/nonsense/"),
        **{word: client.get(f"/account/{word}/") for word in ("devices", "people", "passkeys", "tokens")},
        "code": send(client, "/account/devices/add/", page="/account/devices/"),
        "invitation": send(client, "/account/people/invite/", page="/account/people/"),
        "token": send(client, "/account/tokens/", {"name": "shed", "may": "read"}, page="/account/tokens/"),
        "today": client.get("/"),
    }  # fmt: skip
    none_broken([each for name, answer in answers.items() for each in judge.broken_by(f"/answer-{name}/", answer)])
