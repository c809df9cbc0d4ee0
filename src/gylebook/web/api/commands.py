"""Commands that ask the book for what a page shows, to be copied from there."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpRequest
from django.urls import reverse

from gylebook.web.asked import Asked
from gylebook.web.form import Form


def curl(address: str) -> str:
    """The command that asks this of a book whose token stands in TOKEN."""
    return f'curl -H "Authorization: Bearer $TOKEN" "{address}"'


def brew_command(request: HttpRequest, brew: str) -> str:
    """The command for everything that the chart of a brew draws."""
    return curl(request.build_absolute_uri(reverse("api_brew", args=[int(brew)])))


def sum_command(request: HttpRequest, word: str, form: Form) -> str:
    """The command for what a sum came to, as it was asked on its page: a number goes with the unit beside it."""
    asked = {each.field.name: _with_unit(each) for each in form.asked if each.text.strip()}
    further = "".join(f"&confirm={name}" for name in sorted(form.confirmed))
    address = request.build_absolute_uri(reverse("api_sum", args=[word]))
    return curl(f"{address}?{urlencode(asked)}{further}")


def _with_unit(asked: Asked) -> str:
    text = asked.text.strip()
    return f"{text} {asked.unit}" if asked.unit and text[-1].isdigit() else text
