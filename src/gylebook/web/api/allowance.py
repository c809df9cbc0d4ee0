"""How often one caller may ask: a bucket that fills steadily and holds a minute's worth.

A loop gone wild cannot keep the book from everybody else.

Buckets live in this process; several processes allow as many times more.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

_MOST_CALLERS = 1000


@dataclass(slots=True)
class _Bucket:
    left: float
    at: float


class Allowance:
    """The buckets of all callers.

    Parameters
    ----------
    per_minute
        How many requests a caller has at once, and gets anew each minute.
    """

    def __init__(self, per_minute: int) -> None:
        self._per_minute = per_minute
        self._buckets: OrderedDict[str, _Bucket] = OrderedDict()
        self._lock = Lock()

    def take(self, caller: str, now: float) -> int:
        """Take one request of a caller's; 0 where it may go on, else the whole seconds [s] that it should wait.

        `now` is a clock that only goes forward [s].
        """
        with self._lock:
            bucket = self._buckets.pop(caller, None) or _Bucket(float(self._per_minute), now)
            gained = (now - bucket.at) * self._per_minute / 60
            bucket.left, bucket.at = min(float(self._per_minute), bucket.left + gained), now
            self._buckets[caller] = bucket
            if len(self._buckets) > _MOST_CALLERS:
                self._buckets.popitem(last=False)  # who has not asked for longest has a full bucket again
            if bucket.left < 1:
                return math.ceil((1 - bucket.left) * 60 / self._per_minute)
            bucket.left -= 1
            return 0
