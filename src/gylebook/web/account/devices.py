"""The browsers in which somebody is signed in, and codes that let one more in."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.debug import sensitive_variables
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from gylebook.errors import Refused
from gylebook.outputs.qr import code_for_screen
from gylebook.phrases import say
from gylebook.store import brew_log, devices, one_time, people
from gylebook.web.account.admission import admit, browser_name, is_owner, remote, this_device
from gylebook.web.account.host import for_others
from gylebook.web.account.views import actor, signed_out
from gylebook.web.desk import desk

WAYS = {
    devices.PASSWORD: say("by password"),
    devices.PASSKEY: say("by passkey"),
    devices.PAIRING: say("by a code"),
    devices.INVITATION: say("by an invitation"),
    devices.BEFORE: say("before devices were listed"),
}


@dataclass(frozen=True, slots=True)
class Line:
    """One browser in the list."""

    id: int
    name: str
    person: str
    how: str
    since: str
    seen: str
    here: bool


@require_safe
def listed(request: HttpRequest) -> HttpResponse:
    """The reader's own browsers; the owner sees everybody's."""
    return shown(request)


def shown(request: HttpRequest, refusal: str = "", status: int = 200) -> HttpResponse:
    """The list, with a refusal above it where something could not be done."""
    measures, mine = desk(request).measures, actor(request)
    found = devices.listed(timezone.now(), None if is_owner(request) else mine)
    here = this_device(request)
    lines = [
        Line(
            id=each.id,
            name=each.name,
            person="" if each.person == mine else each.person,
            how=WAYS[each.way],
            since=measures.moment(each.made_at),
            seen=measures.moment(each.seen_at),
            here=each.id == here,
        )
        for each in found
    ]
    context = {"lines": lines, "refusal": refusal, "is_owner": is_owner(request), "here": here is not None}
    return render(request, "account/devices.html", context, status=status)


@require_POST
@sensitive_variables("code")
def add(request: HttpRequest) -> HttpResponse:
    """Show a code that makes one more device the reader's."""
    try:
        where = for_others(request)
    except Refused as refusal:
        return shown(request, str(refusal), 409)
    code = one_time.make(one_time.PAIRING, actor(request), timezone.now())
    link = f"{where.address}{reverse('pair', args=[code]).lstrip('/')}"
    drawn = mark_safe(code_for_screen(link))  # noqa: S308 - our own drawing, without a word in it
    context = {"link": link, "svg": drawn, "where": where}
    return render(request, "account/code.html", context)


@require_POST
def revoke(request: HttpRequest) -> HttpResponse:
    """Sign one browser out."""
    number = request.POST.get("device", "")
    here = this_device(request)
    if number.isascii() and number.isdigit():
        devices.revoke(int(number), None if is_owner(request) else actor(request))
        if int(number) == here:
            return signed_out()
    return redirect("account:devices")


@require_POST
def revoke_all(request: HttpRequest) -> HttpResponse:
    """Sign out all of the reader's browsers, this one too, or all but this one."""
    here = this_device(request)
    if request.POST.get("but") == "this":
        devices.revoke_all(actor(request), but=here)
        return redirect("account:devices")
    devices.revoke_all(actor(request))
    one_time.forget(actor(request))
    return signed_out() if here is not None else redirect("account:devices")


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_variables("code")
def pair(request: HttpRequest, code: str) -> HttpResponse:
    """Make the browser that opens a code a device of its person; opening it alone, as previews do, uses nothing up."""
    now, address = timezone.now(), remote(request)
    try:
        if request.method != "POST":
            person = one_time.look(one_time.PAIRING, code, address, now)
            context = {"person": person, "code": code, "name": browser_name(request), "book": book_name()}
            return render(request, "account/pair.html", context)
        person = one_time.take(one_time.PAIRING, code, address, now)
    except Refused as refusal:
        return no_entry(request, refusal)
    admit(request, people.let_in(person), devices.PAIRING, request.POST.get("name", ""))
    return redirect("pocket")


def book_name() -> str:
    """The book by the name of its brewer, where that was written down."""
    brewer = brew_log.read_shelf().settings.brewer
    return say("The gyle book of {brewer}", brewer=brewer) if brewer else say("A gyle book")


def no_entry(request: HttpRequest, refusal: Refused) -> HttpResponse:
    """A code that lets nobody in, and where to get another."""
    status = 429 if "wait" in str(refusal) else 410
    return render(request, "account/no_entry.html", {"refusal": str(refusal)}, status=status)
