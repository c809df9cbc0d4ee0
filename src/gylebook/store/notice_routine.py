"""Notices that the book sends by itself, while it is open.

What is told is reckoned from the cards, and that is much to load; a book without an address loads none of it.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from datetime import datetime, tzinfo

from django.db import IntegrityError, connections

from gylebook.errors import GylebookError
from gylebook.phrases import Voice, speaking
from gylebook.store import posting
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import NoticeAddress

#: How often to look: the first try after one that failed comes after a minute.
EVERY_S = 60.0

_log = logging.getLogger(__name__)


def tend(
    clock: Callable[[], datetime],
    zone: Callable[[], tzinfo],
    stop: threading.Event,
    *,
    voice: Callable[[], Voice | None] = lambda: None,
    every_s: float = EVERY_S,
    post: Callable[[str, bytes, dict[str, str]], str] = posting.post,
) -> None:
    """Send what is due until told to stop; meant for a thread of its own.

    Parameters
    ----------
    clock
        Tells the moment.
    zone
        Tells the brewer's zone.
    stop
        Set it to end.
    voice
        Tells how the book speaks: a thread has no reader of its own, and inherits no voice.
    every_s
        How often to look [s].
    post
        Hands it over, as `posting.post` does.
    """
    while not stop.is_set():
        try:
            if _wanted():
                from gylebook.store.notices import send_due

                with speaking(voice()):
                    send_due(clock(), zone(), post=post)
        except (GylebookError, IntegrityError):
            _log.exception("Notices could not be sent; they are tried again later")
        connections.close_all()
        stop.wait(every_s)


def _wanted() -> bool:
    with spoken(DEFAULT):
        return NoticeAddress.objects.exists()
