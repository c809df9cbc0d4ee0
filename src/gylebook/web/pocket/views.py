"""The page of Pocket, its worker and its manifest; nothing in them is anybody's, so they ask nobody who is there."""

from __future__ import annotations

import json
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from gylebook.phrases import say, tell
from gylebook.store.databases import DEMO
from gylebook.web.page import book_of
from gylebook.web.pocket import scripts
from gylebook.web.pocket import words as catalogue
from gylebook.web.pocket.shell import WORKER, page, script_address, shell

_ASK_AGAIN = "no-cache"
_FOR_GOOD = "public, max-age=31536000, immutable"  # its address carries its print
# Only a worker that is a module may import; browsers that have none take the same without what sends in the background.
_SENDING = """import {{ Line, Store, flush }} from "{script}";
self.sendAll = async () => {{
  const store = await Store.open(SHELL.root);
  try {{ await flush(store, new Line(SHELL.root), SHELL.root); }} finally {{ store.db.close(); }}
}};
"""


@login_not_required
@require_safe
def pocket(request: HttpRequest) -> HttpResponse:
    """The page, in the language that its address names, else in the reader's."""
    language = _language(request)
    response = HttpResponse(page(language), headers={"Content-Language": language})
    response["Cache-Control"] = _ASK_AGAIN
    return response


def _language(request: HttpRequest) -> str:
    """As the address names it, for a worker asks without cookies; else the reader's."""
    named = request.GET.get("language", "")
    return catalogue.known(named) if named else catalogue.language_of_page()


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The worker, which keeps the shell; whatever changes in the shell changes this file."""
    root = reverse("today")
    own = shell(root, _language(request))
    told = {"root": root, "scope": reverse("pocket"), "version": own.version, "files": own.files}
    sending = _SENDING.format(script=script_address(scripts.SENDING)) if "module" in request.GET else ""
    body = scripts.plain(WORKER, (Path(settings.STATIC_ROOT) / WORKER).read_text(encoding="utf-8"))
    text = f"{sending}const SHELL = {json.dumps(told)};\n{body}"
    response = HttpResponse(text, content_type="text/javascript; charset=utf-8")
    response["Service-Worker-Allowed"] = reverse("pocket")
    response["Cache-Control"] = _ASK_AGAIN
    return response


@login_not_required
@require_safe
def words(request: HttpRequest, language: str) -> HttpResponse:
    """The sentences of the scripts in another language. An address with a print never changes what it says."""
    if catalogue.known(language) != language:
        raise Http404
    response = HttpResponse(catalogue.written(language), content_type="application/json; charset=utf-8")
    response["Content-Language"] = language
    current = request.get_full_path() == catalogue.address(language)
    response["Cache-Control"] = _FOR_GOOD if current else _ASK_AGAIN
    return response


@login_not_required
@require_safe
def script(request: HttpRequest, part: str) -> HttpResponse:
    """A part of the scripts."""
    made = scripts.scripts().get(part)
    if made is None:
        raise Http404
    response = HttpResponse(made.content, content_type="text/javascript; charset=utf-8")
    current = request.get_full_path() == script_address(part)
    response["Cache-Control"] = _FOR_GOOD if current else _ASK_AGAIN
    return response


@login_not_required
@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """What a phone wants to know to put Pocket among its apps."""
    demo = book_of(request) == DEMO
    at = f"{settings.STATIC_URL}pocket/"
    sizes = (192, 512)
    told = {
        "name": tell(say("Gylebook Pocket (demo book)") if demo else say("Gylebook Pocket")),
        "short_name": tell(say("Pocket (demo)") if demo else say("Pocket")),
        "description": tell(say("What is due, and writing it down, without the network.")),
        "id": reverse("pocket"),
        "start_url": reverse("pocket"),
        "scope": reverse("pocket"),
        "display": "standalone",
        "lang": catalogue.language_of_page(),
        "background_color": "#faf7f0",
        "theme_color": "#faf7f0",
        "icons": [
            *({"src": f"{at}icon-{s}.png", "sizes": f"{s}x{s}", "type": "image/png", "purpose": "any"} for s in sizes),
            *(
                {"src": f"{at}maskable-{s}.png", "sizes": f"{s}x{s}", "type": "image/png", "purpose": "maskable"}
                for s in sizes
            ),
        ],
    }
    response = JsonResponse(told, content_type="application/manifest+json")
    response["Cache-Control"] = _ASK_AGAIN
    return response
