"""How fast a command answers and a server starts, and what it weighs."""

from __future__ import annotations

import os
import signal
import socket
import statistics
import subprocess
import tempfile
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

from figures import GYLEBOOK, PYTHON, Figure, command, environment, paired_ratio, wall


def command_figures() -> Iterator[Figure]:
    """`--help` and a sum from cold, each in turn with a plain interpreter."""
    sum_words = [GYLEBOOK, "reckon", "priming", "--volume", "20.6 L"]
    ours, numpy, ratio = paired_ratio(sum_words, [PYTHON, "-c", "import numpy"], 9)
    yield Figure("cli.reckon_to_numpy", ratio, "ratio", 1.5, f"import numpy {numpy * 1000:.0f} ms")
    yield Figure("cli.reckon", ours * 1000, "ms", None, "cold start of one sum")
    seconds = statistics.median(wall(lambda: command([GYLEBOOK, "--help"])) for _ in range(9))
    yield Figure("cli.help", seconds * 1000, "ms", 150.0, "cold start")


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _resident_mb(pid: int) -> float:
    pids, total = [pid], 0.0
    for parent in pids:
        children = Path(f"/proc/{parent}/task/{parent}/children")
        pids += [int(child) for child in children.read_text().split()]
    for each in pids:
        for line in Path(f"/proc/{each}/smaps_rollup").read_text().splitlines():
            if line.startswith("Pss:"):  # shared pages are counted once
                total += int(line.split()[1]) / 1024
    return total


def _start(env: dict[str, str], port: int, then: Callable[[subprocess.Popen[bytes], float], None]) -> None:
    """Serve, hand over the server and the seconds to its first page, and stop."""
    start = time.perf_counter()
    with subprocess.Popen([GYLEBOOK, "serve"], env=env, stdout=subprocess.DEVNULL, start_new_session=True) as server:
        try:
            while True:
                try:
                    urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5).read()
                    break
                except OSError:
                    if time.perf_counter() - start > 30:
                        raise
                    time.sleep(0.02)
            then(server, time.perf_counter() - start)
        finally:
            os.killpg(server.pid, signal.SIGTERM)


def serve_figures() -> Iterator[Figure]:
    """Cold start to the first page, and memory after some pages."""
    with tempfile.TemporaryDirectory() as home:
        port = _free_port()
        env = environment(GYLEBOOK_HOME=home, GYLEBOOK_PORT=str(port))
        subprocess.run([GYLEBOOK, "demo", "fill"], env=env, check=True, capture_output=True)
        # One start that does not count: it makes the tables and leaves the compiled modules.
        _start(env, port, lambda server, seconds: None)
        figures: list[float] = []

        def look(server: subprocess.Popen[bytes], seconds: float) -> None:
            for page in ("demo/", "demo/brews/", "demo/brews/1/", "reckon/", "demo/cellar/"):
                urllib.request.urlopen(f"http://127.0.0.1:{port}/{page}", timeout=20).read()
            figures.extend((seconds, _resident_mb(server.pid)))

        _start(env, port, look)
        seconds, memory = figures
        yield Figure("serve.first_page", seconds, "s", 2.0, "cold start, existing book")
        yield Figure("serve.memory", memory, "MB", 150.0, "proportional, master and worker, after five pages")
