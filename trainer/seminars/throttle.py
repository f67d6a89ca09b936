"""How often a device, and the address it shares with a hall, may do something. Counts without a lock.

The library's limits take a lock for each look and refuse who waits for it too long: a hall that signs in at once
would be refused for being many. Here looking is a read, and only what counts is written; of two at the same moment
one may be missed, which loosens a limit of hundreds by little.
"""

from __future__ import annotations

import hashlib
import time
from dataclasses import dataclass

from django.core.cache import cache

from trainer.accounts.events import source


@dataclass(frozen=True)
class Limit:
    """So many per device, if that is counted, and so many per address, within so many seconds from the first."""

    action: str
    device: int | None
    address: int
    seconds: int

    def _most(self, request) -> dict[str, int]:
        found = {self._key("address", source(request)): self.address}
        if self.device and request.session.session_key:
            found[self._key("device", request.session.session_key)] = self.device
        return found

    def _key(self, what: str, value: str) -> str:
        hidden = hashlib.sha256(value.encode()).hexdigest()[:32]
        return f"limits:{self.action}:{what}:{hidden}"

    def is_reached(self, request) -> bool:
        most = self._most(request)
        counts = cache.get_many(most)
        return any(counts[key][0] >= most[key] for key in counts)

    def count(self, request) -> None:
        """One more, for the device and for its address; a device without a session gets one."""
        if self.device and not request.session.session_key:
            request.session.create()
        now, keys = time.time(), list(self._most(request))
        counts = cache.get_many(keys)
        for key in keys:
            # Beside the count stands until when it holds: to count on would begin the time anew.
            n, until = counts.get(key, (0, now + self.seconds))
            cache.set(key, (n + 1, until), until - now)


MISSES = Limit("join-miss", device=10, address=300, seconds=600)
"""Wrong codes. Guessing 300 codes in ten minutes finds the one open of 31**6 in 28 years on average."""
GUESTS = Limit("join-guest", device=None, address=1500, seconds=3600)
"""Signing in gives a device another session, so that by device nothing would add up."""
INVITED = Limit("invited", device=10, address=300, seconds=3600)
"""Places taken by a link without an account; each may send a mail."""
