"""Everything at once: many entries, four tabs, two phones, lost replies, a server that is killed, a clock that jumps.

GYLEBOOK_POCKET_ENTRIES says how many entries (300 by default); GYLEBOOK_POCKET_SEED which of the runs.
"""

from __future__ import annotations

import os
import random
import time
from datetime import datetime

from web.pocket.garage import MANY, Line, waits

ENTRIES = int(os.environ.get("GYLEBOOK_POCKET_ENTRIES", "300"))
SEED = int(os.environ.get("GYLEBOOK_POCKET_SEED", "1"))
KILLS = 3
HOUR = 3_600_000
LEFT = """async () => { const { Store } = await import("/pocket/sending.js"); const store = await Store.open("/");
    const found = await store.entries(); store.db.close(); return found.map((each) => each.state + " " + each.message); }"""
NOW = "() => dispatchEvent(new Event('online'))"


def test_every_entry_arrives_once_and_each_phones_in_its_order(phones, book):
    chance = random.Random(SEED)
    line = Line(book.port, loses=0.4, seed=SEED)
    one, two = phones(line.address, clock=1), phones(line.address, clock=HOUR)
    first, second = one.ready(), two.ready()
    tabs = [first, *(one.open(locks=False) for _ in range(3))]  # three of them take no turns
    share = ENTRIES * 3 // 4
    wrote = {
        "one": [f"one {place} {chance.random()}" for place in range(share)],
        "two": [f"two {place} {chance.random()}" for place in range(ENTRIES - share)],
    }
    one.cut()
    two.cut()
    slowest = first.evaluate(MANY, ["1", wrote["one"], [0, HOUR, -HOUR]])
    slowest = max(slowest, second.evaluate(MANY, ["1", wrote["two"], []]))
    one.mend()
    two.mend()
    pages = [*tabs, second]
    kills = sorted(chance.sample(range(5), KILLS))  # early, while most is still to be sent
    began = time.monotonic()
    for round_ in range(10_000):
        for page in chance.sample(pages, 3):
            page.evaluate(NOW)
        if kills and round_ >= kills[0]:
            kills.pop(0)
            time.sleep(chance.random())
            book.kill()
            first.wait_for_timeout(200)
            book.begin()
        first.wait_for_timeout(400)
        if round_ % 5 == 4 and not kills and not first.evaluate(LEFT) and not second.evaluate(LEFT):
            break
        assert time.monotonic() - began < 60 + ENTRIES / 2, (first.evaluate(LEFT)[:3], second.evaluate(LEFT)[:3])
    took = time.monotonic() - began
    assert line.lost > 0
    for page in pages:
        page.evaluate(NOW)
        waits(page, "All is sent")
    found = [each for each in book.entries("1") if each["body"].get("text", "").startswith(("one ", "two "))]
    for phone in ("one", "two"):
        own = [each for each in found if each["body"]["text"].startswith(phone)]
        assert [each["body"]["text"] for each in own] == wrote[phone]
        moments = [datetime.fromisoformat(each["happened_at"]) for each in own]
        assert moments == sorted(moments)  # whatever its clock was set to meanwhile
        assert all(at <= datetime.fromisoformat(each["recorded_at"]) for at, each in zip(moments, own, strict=True))
    print(
        f"{ENTRIES} entries in {took:.0f} s, {line.lost} of {line.lost + line.passed} replies lost, slowest {slowest:.1f} ms"
    )
