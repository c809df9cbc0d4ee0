"""Eight processes writing in one book at once: is anything lost or doubled, and how long does the slowest wait?

    python benchmarks/store_soak.py FOLDER [SECONDS]

The book in FOLDER is made anew. Every command is sent twice.
"""

from __future__ import annotations

import os
import sys
import time
from datetime import UTC, datetime
from multiprocessing import get_context
from pathlib import Path

WRITERS = 8


def write(folder: str, writer: int, seconds: float) -> tuple[int, float, list[str]]:
    """Write until the time is over: how many commands, the longest wait, and every fault."""
    set_up(folder)
    from gylebook.journal import events as ev
    from gylebook.steps.decision import Decision
    from gylebook.store import brew_log
    from gylebook.units import Quantity

    now = datetime.now(UTC)
    who = {"actor": "owner", "source": "device", "now": now}
    planned = ((now, ev.Planned(name=f"Invented ale {writer}")),)
    own = brew_log.start_brew(lambda _: Decision(planned), command_id=f"start{writer}", **who).brew
    end, sent, slowest, faults = time.monotonic() + seconds, 0, 0.0, []
    while time.monotonic() < end:
        where = own if sent % 10 else "1"
        event = ev.TempSeen(of="beer", temp=Quantity("19.5", "°C"))
        for again in (False, True):
            begun = time.perf_counter()
            try:
                done = brew_log.change(
                    where, lambda _, e=event: Decision(((now, e),)), command_id=f"w{writer}.{sent}", **who
                )
                if done.repeated != again:
                    faults.append(f"{where}: repeated is {done.repeated}")
            except Exception as fault:  # noqa: BLE001 - every fault is what is looked for
                faults.append(repr(fault))
            slowest = max(slowest, time.perf_counter() - begun)
        sent += 1
        if sent % 300 == 0:  # a brew of a hundred days is long enough; begin another one
            own = brew_log.start_brew(lambda _: Decision(planned), command_id=f"start{writer}.{sent}", **who).brew
    return sent, slowest, faults


def set_up(folder: str) -> None:
    """Open the book of that folder."""
    os.environ.update(GYLEBOOK_HOME=folder, DJANGO_SETTINGS_MODULE="gylebook.web.settings")
    import django

    django.setup()


def main() -> None:
    folder = Path(sys.argv[1]).absolute()
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("book.sqlite3*"):
        old.unlink()
    set_up(str(folder))
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    with get_context("spawn").Pool(WRITERS) as pool:
        results = pool.starmap(write, [(str(folder), writer, seconds) for writer in range(WRITERS)])
    from gylebook.store import check_book, rows

    sent = sum(result[0] for result in results)
    starts = rows.count("default") - sent
    print(f"{sent} commands sent twice in {seconds:.0f} s, {starts} brews begun, {rows.count('default')} entries kept")
    print(f"longest wait {max(result[1] for result in results):.2f} s")
    print(f"faults: {[fault for result in results for fault in result[2]]}")
    print(f"check of the book: {check_book.check_book()}")


if __name__ == "__main__":
    main()
