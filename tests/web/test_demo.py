from __future__ import annotations

from django.http import HttpResponse
from django.test import override_settings
from django.urls import get_script_prefix, include, path, reverse

from gylebook.store import demo
from gylebook.web.page import book_of


def tell(request):
    """Which book lies open, under which addresses."""
    return HttpResponse(f"{book_of(request)} {request.path} {request.path_info} {reverse('brews')}")


urlpatterns = [path("tell/", tell), path("", include("gylebook.web.urls"))]


@override_settings(ROOT_URLCONF=__name__)
def test_the_same_addresses_open_the_demo_book_below_demo(reader):
    assert reader.get("/tell/").content == b"default /tell/ /tell/ /brews/"
    assert reader.get("/demo/tell/").content == b"demo /demo/tell/ /tell/ /demo/brews/"
    assert reader.get("/tell/").content == b"default /tell/ /tell/ /brews/"
    assert get_script_prefix() == "/"


def test_the_demo_says_on_every_page_that_it_is_invented(reader):
    for url in ("/demo/", "/demo/brews/", "/demo/no-such-page/"):
        page = reader.get(url).content.decode()
        assert "Demo book:</strong> everything here is invented." in page
        assert '<a href="/">Leave the demo</a>' in page
    assert "Demo book" not in reader.get("/brews/").content.decode()


def test_every_way_on_stays_in_the_demo(reader):
    page = reader.get("/demo/brews/").content.decode()
    for place in ("", "brews/", "cellar/", "stores/", "reckon/"):
        assert f'href="/demo/{place}"' in page
    assert 'href="/brews/"' not in page
    assert page.count('aria-current="page"') == 2  # at the top, and at the thumb


def test_a_demo_address_without_its_last_stroke_is_mended(reader):
    assert reader.get("/demo")["Location"] == "/demo/"
    assert reader.get("/demo/brews")["Location"] == "/demo/brews/"
    assert reader.get("/demolition/").status_code == 404


def test_the_demo_within_the_demo_is_no_page(reader):
    assert reader.get("/demo/demo/").status_code == 404


def test_the_demo_can_be_started_afresh(reader, post, monkeypatch):
    filled = []
    monkeypatch.setattr(demo, "fill", filled.append)
    response = post("/demo/afresh/", page="/demo/")
    assert response.status_code == 302
    assert response["Location"] == "/demo/"
    assert filled == ["demo"]


def test_the_own_book_is_never_started_afresh(reader, post, monkeypatch):
    filled = []
    monkeypatch.setattr(demo, "fill", filled.append)
    assert post("/afresh/").status_code == 404
    assert reader.get("/demo/afresh/").status_code == 405
    assert filled == []
