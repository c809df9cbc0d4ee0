"""Behind a proxy: who asks and how is taken from the proxy that was named, and from nobody else."""

from __future__ import annotations

import pytest
from django.http import HttpResponse
from django.test import Client, RequestFactory

from gylebook.errors import InputError
from gylebook.web import environment
from gylebook.web.proxy import TrustedProxy

SAID = {"HTTP_X_FORWARDED_FOR": "6.6.6.6, 192.168.1.9", "HTTP_X_FORWARDED_PROTO": "https"}


def passed(settings, remote, proxies, **said):
    settings.PROXIES = proxies
    request = RequestFactory().get("/", REMOTE_ADDR=remote, **said)
    TrustedProxy(lambda _: HttpResponse())(request)
    return request.META["REMOTE_ADDR"], request.scheme


def test_the_named_proxy_is_believed_about_the_last_who_asked(settings):
    assert passed(settings, "127.0.0.1", ("127.0.0.1",), **SAID) == ("192.168.1.9", "https")
    assert passed(settings, "::ffff:127.0.0.1", ("127.0.0.1",), **SAID) == ("192.168.1.9", "https")


def test_nobody_else_is_believed(settings):
    assert passed(settings, "192.168.1.66", ("127.0.0.1",), **SAID) == ("192.168.1.66", "http")
    assert passed(settings, "127.0.0.1", (), **SAID) == ("127.0.0.1", "http")


def test_what_makes_no_sense_changes_nothing(settings):
    assert passed(settings, "127.0.0.1", ("127.0.0.1",), HTTP_X_FORWARDED_PROTO="gopher") == ("127.0.0.1", "http")


def test_forms_work_through_a_proxy_that_speaks_https(settings, shared):
    settings.PROXIES = ("127.0.0.1",)
    reader = Client(
        enforce_csrf_checks=True,
        HTTP_X_FORWARDED_PROTO="https",
        HTTP_ORIGIN="https://testserver",
        HTTP_HOST="testserver",
    )
    reader.get("/account/sign-in/")
    mark = reader.cookies["gylebook_csrf"].value
    answer = reader.post("/account/sign-in/", {"password": shared, "csrfmiddlewaretoken": mark})
    assert answer.status_code == 302


def test_behind_a_proxy_everybody_signs_in():
    assert environment.sign_in_required({"GYLEBOOK_PROXY": "127.0.0.1"})
    assert not environment.sign_in_required({})


def test_a_name_is_no_proxy():
    with pytest.raises(InputError, match=r"“proxy\.home” is no address; write one such"):
        environment.proxies({"GYLEBOOK_PROXY": "127.0.0.1, proxy.home"})
    assert environment.proxies({"GYLEBOOK_PROXY": " ::1 ,127.0.0.1"}) == ("::1", "127.0.0.1")
