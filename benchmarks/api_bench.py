"""The book for programs: a phone's pocket of 200 open brews, and a full request of entries."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from datetime import timedelta

import big_book
from figures import Figure, percentile, wall

OPEN = 200
ROUNDS = 20
ENTRIES = 200


def api_figures() -> Iterator[Figure]:
    """Pocket, whole and as the phone has it; entries of one brew and of many, first and sent again."""
    from django.conf import settings
    from django.test import Client

    settings.API_PER_MINUTE = 1_000_000
    _fill()
    client = Client(SERVER_NAME="127.0.0.1")
    answer = client.get("/api/pocket")
    if answer.status_code != 200:
        raise RuntimeError(f"pocket answered {answer.status_code}")
    brews = [brew["id"] for brew in json.loads(answer.content)["brews"]]
    seconds = [_spent(lambda: client.get("/api/pocket")) for _ in range(ROUNDS)]
    size = len(answer.content) / 1000
    yield Figure(
        "api.pocket_200_open", percentile(seconds, 0.5) * 1000, "ms", 100.0, f"{len(brews)} brews, {size:.0f} kB"
    )
    tag = {"if-none-match": answer["ETag"]}
    seconds = [_spent(lambda: client.get("/api/pocket", headers=tag)) for _ in range(ROUNDS)]
    yield Figure("api.pocket_304", percentile(seconds, 0.5) * 1000, "ms", 100.0, "the phone has it as it is")
    for words, spread in (("one", brews[:1]), ("forty", brews[:40])):
        batch = _batch(words, spread)
        first, again = wall(lambda batch=batch: _send(client, batch)), wall(lambda batch=batch: _send(client, batch))
        yield Figure(f"api.{ENTRIES}_entries_of_{words}", first, "s", 6.0, "each a transaction, synced to the disk")
        yield Figure(f"api.{ENTRIES}_entries_of_{words}_again", again, "s", 1.0, "all of them written before")


def _spent(work: object) -> float:
    """Seconds of this process's own time, which a busy machine does not lengthen."""
    start = time.process_time()
    work()  # type: ignore[operator]
    return time.process_time() - start


def _fill() -> None:
    from django.db import transaction

    from gylebook.store import brew_log, cards, rows

    after = max((int(brew) for brew in rows.streams("default") if brew != "shelf"), default=0)
    lacking = OPEN - brew_log.count()["open"]
    stages = (big_book.RUNNING, big_book.BOTTLED, big_book.BOTTLED)
    with transaction.atomic():
        rows.insert_many("default", big_book.book_rows(after + lacking, lambda n, _: stages[n % 3], after=after))
    cards.rebuild("default")


def _batch(words: str, brews: list[str]) -> str:
    return json.dumps(
        {
            "entries": [
                {
                    "id": f"bench-{words}-{number}",
                    "brew": brews[number % len(brews)],
                    "act": "temperature",
                    "values": {"temp": f"{18 + number % 5} °C"},
                    "happened_at": (big_book.NOW - timedelta(minutes=ENTRIES - number)).isoformat(),
                }
                for number in range(ENTRIES)
            ]
        }
    )


def _send(client: object, batch: str) -> None:
    from django.test import Client

    assert isinstance(client, Client)
    answer = client.post("/api/entries", batch, content_type="application/json")
    wrong = [each for each in json.loads(answer.content)["results"] if each["status"] not in {"written", "already"}]
    if wrong:
        raise RuntimeError(f"an entry was not taken: {wrong[0]}")
