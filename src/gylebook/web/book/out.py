"""The book as files of the brewer's own: the journal that reads back in, tables for a spreadsheet, a backup."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from pathlib import Path

from django.conf import settings
from django.http import FileResponse, HttpRequest, StreamingHttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from gylebook.errors import Refused
from gylebook.outputs import book_export
from gylebook.phrases import say
from gylebook.store import whole_book
from gylebook.store.backup import backup
from gylebook.store.databases import DEMO
from gylebook.web.page import book_of


@require_safe
def journal(request: HttpRequest) -> StreamingHttpResponse:
    """Every entry exactly as written, one a line."""
    lines = whole_book.stream(book_export.book_lines, book=book_of(request))
    return _file(lines, "application/jsonl; charset=utf-8", "jsonl", request)


@require_safe
def entries(request: HttpRequest) -> StreamingHttpResponse:
    """Every entry as a table."""
    cells = whole_book.stream(lambda _count, rows: book_export.entries_csv(rows), book=book_of(request))
    return _file(cells, "text/csv; charset=utf-8", "entries.csv", request)


@require_safe
def readings(request: HttpRequest) -> StreamingHttpResponse:
    """Readings of all brews as a table."""
    cells = book_export.readings_csv(whole_book.brews_folded(book=book_of(request)))
    return _file(cells, "text/csv; charset=utf-8", "readings.csv", request)


@require_POST
def backup_file(request: HttpRequest) -> FileResponse:
    """A verified backup, made now; nothing of it stays behind on this computer."""
    if book_of(request) == DEMO:
        raise Refused(say("The demo book is invented and is not backed up; leave the demo to back up your own book."))
    settings.HOME.mkdir(mode=0o700, parents=True, exist_ok=True)
    # A backup is moved into its place when it is whole, so it is made beside the book, not in another file system.
    with tempfile.TemporaryDirectory(prefix=".download-", dir=settings.HOME) as folder:
        target = Path(folder) / "backup.zip"
        backup(target, now=timezone.now())
        opened = target.open("rb")  # stays readable after its folder is gone; the response closes it
    return FileResponse(opened, as_attachment=True, filename=f"{_stem(request)}.zip")


def _file(lines: Iterable[bytes | str], kind: str, end: str, request: HttpRequest) -> StreamingHttpResponse:
    response = StreamingHttpResponse(lines, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{_stem(request)}.{end}"'
    return response


def _stem(request: HttpRequest) -> str:
    demo = "-demo" if book_of(request) == DEMO else ""
    return f"gylebook{demo}-{timezone.localdate().isoformat()}"
