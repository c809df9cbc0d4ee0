"""The page of Pocket, its worker and its manifest; nothing in them is anybody's, so they ask nobody who is there."""

from __future__ import annotations

import json
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from gylebook.store.databases import DEMO
from gylebook.web.page import book_of
from gylebook.web.pocket.shell import WORKER, page, shell

_ASK_AGAIN = "no-cache"
# Only a worker that is a module may import; browsers that have none take the same without what sends in the background.
_SENDING = """import {{ Line }} from "{static}pocket/line.js";
import {{ flush }} from "{static}pocket/outbox.js";
import {{ Store }} from "{static}pocket/store.js";
self.sendAll = async () => {{
  const store = await Store.open(SHELL.root);
  try {{ await flush(store, new Line(SHELL.root), SHELL.root); }} finally {{ store.db.close(); }}
}};
"""


@login_not_required
@require_safe
def pocket(request: HttpRequest) -> HttpResponse:
    """The page."""
    del request
    response = HttpResponse(page())
    response["Cache-Control"] = _ASK_AGAIN
    return response


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The worker, which keeps the shell; whatever changes in the shell changes this file."""
    root = reverse("today")
    own = shell(root)
    told = {"root": root, "scope": reverse("pocket"), "version": own.version, "files": own.files}
    sending = _SENDING.format(static=settings.STATIC_URL) if "module" in request.GET else ""
    body = (Path(settings.STATIC_ROOT) / WORKER).read_text(encoding="utf-8")
    text = f"{sending}const SHELL = {json.dumps(told)};\n{body}"
    response = HttpResponse(text, content_type="text/javascript; charset=utf-8")
    response["Service-Worker-Allowed"] = reverse("pocket")
    response["Cache-Control"] = _ASK_AGAIN
    return response


@login_not_required
@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """What a phone wants to know to put Pocket among its apps."""
    demo = book_of(request) == DEMO
    at = f"{settings.STATIC_URL}pocket/"
    sizes = (192, 512)
    told = {
        "name": "Gylebook Pocket (demo book)" if demo else "Gylebook Pocket",
        "short_name": "Pocket (demo)" if demo else "Pocket",
        "description": "What is due, and writing it down, without the network.",
        "id": reverse("pocket"),
        "start_url": reverse("pocket"),
        "scope": reverse("pocket"),
        "display": "standalone",
        "lang": "en-GB",
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
