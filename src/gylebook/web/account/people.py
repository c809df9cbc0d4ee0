"""Those who brew along: invited by the owner, once each, and taken out again; what they wrote stays."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.debug import sensitive_post_parameters, sensitive_variables
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from gylebook.errors import InputError, Refused
from gylebook.outputs.qr import code_for_screen
from gylebook.store import devices, one_time, people
from gylebook.web.account.admission import admit, browser_name, is_owner, remote
from gylebook.web.account.devices import book_name, no_entry
from gylebook.web.account.host import for_others
from gylebook.web.account.views import actor


@require_safe
def listed(request: HttpRequest) -> HttpResponse:
    """Everybody who may write in the book."""
    return _shown(request)


def _shown(request: HttpRequest, refusal: str = "", status: int = 200) -> HttpResponse:
    context = {
        "names": people.everybody() or [people.OWNER],
        "owner": people.owner(),
        "me": actor(request),
        "is_owner": is_owner(request),
        "refusal": refusal,
    }
    return render(request, "account/people.html", context, status=status)


@require_POST
@sensitive_variables("code")
def invite(request: HttpRequest) -> HttpResponse:
    """Show a link that lets one person join."""
    _only_owner(request)
    try:
        where = for_others(request)
    except Refused as refusal:
        return _shown(request, str(refusal), 409)
    code = one_time.make(one_time.INVITATION, actor(request), timezone.now())
    link = f"{where.address}{reverse('invited', args=[code]).lstrip('/')}"
    drawn = mark_safe(code_for_screen(link))  # noqa: S308 - our own drawing, without a word in it
    context = {"link": link, "svg": drawn, "where": where, "invitation": True}
    return render(request, "account/code.html", context)


@require_POST
def remove(request: HttpRequest) -> HttpResponse:
    """Take somebody out; asked once more unless it was confirmed."""
    _only_owner(request)
    name = request.POST.get("name", "")
    if request.POST.get("confirm") != "1":
        return render(request, "account/remove.html", {"name": name})
    people.remove(name)
    return redirect("account:people")


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters("password")
@sensitive_variables("code", "password")
def invited(request: HttpRequest, code: str) -> HttpResponse:
    """Let somebody who was invited choose a name, and a password if they like; opening the link uses nothing up."""
    now, address = timezone.now(), remote(request)
    context = {"code": code, "name": request.POST.get("name", ""), "book": book_name(), "error": None}
    try:
        context["by"] = one_time.look(one_time.INVITATION, code, address, now)
        if request.method != "POST":
            return render(request, "account/invited.html", context)
        name, password = request.POST.get("name", ""), request.POST.get("password", "")
        try:
            person = people.join(name, password, lambda: one_time.take(one_time.INVITATION, code, address, now))
        except InputError as error:
            return render(request, "account/invited.html", {**context, "error": error}, status=422)
    except Refused as refusal:
        return no_entry(request, refusal)
    admit(request, person, devices.INVITATION, browser_name(request))
    return redirect("today" if password else "account:passkeys")


def _only_owner(request: HttpRequest) -> None:
    if not is_owner(request):
        raise PermissionDenied
