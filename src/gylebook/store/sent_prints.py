"""Prints of what was sent under an id: an id that comes again with other content is refused, never taken for the same.

The journal holds what was decided, which depends on the shelf and the moment; only a print of what was sent tells
whether two messages are the same one. It is kept in the transaction that writes the entries.
"""

from __future__ import annotations

from gylebook.errors import Conflict
from gylebook.phrases import say
from gylebook.store.models import SentPrint


def keep(book: str, command_id: str, content: str) -> None:
    """Keep the print of a message; belongs inside the transaction that writes its entries."""
    SentPrint.objects.using(book).update_or_create(command_id=command_id, defaults={"content": content})


def expect_same(book: str, command_id: str, content: str) -> None:
    """Hold a message that comes again against the first one of its id.

    Where no print is kept, as after a restore from plain entries, there is nothing to hold it against.

    Raises
    ------
    Conflict
        Something else was sent under this id.
    """
    first = SentPrint.objects.using(book).filter(command_id=command_id).values_list("content", flat=True).first()
    if first is not None and first != content:
        raise Conflict(say("Something else was written under this entry's id before; send it with a new id."))
