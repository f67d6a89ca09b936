"""How often a device, and the address it shares with a hall, may do something. Counts without a lock.

The library's limits take a lock for each look and refuse who waits for it too long: a hall that signs in at once
would be refused for being many. Here looking is a read, and only what counts is written; of two at the same moment
one may be missed, which loosens a limit of hundreds by little.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from django.core.cache import cache

from trainer.accounts.events import source


@dataclass(frozen=True)
class Limit:
    """So many per device and so many per address, within so many seconds from the first."""

    action: str
    device: int
    address: int
    seconds: int

    def _most(self, request) -> dict[str, int]:
        found = {self._key("address", source(request)): self.address}
        if request.session.session_key:
            found[self._key("device", request.session.session_key)] = self.device
        return found

    def _key(self, what: str, value: str) -> str:
        hidden = hashlib.sha256(value.encode()).hexdigest()[:32]
        return f"limit:{self.action}:{what}:{hidden}"

    def is_reached(self, request) -> bool:
        most = self._most(request)
        counts = cache.get_many(most)
        return any(counts.get(key, 0) >= n for key, n in most.items())

    def count(self, request) -> None:
        """One more, for the device and for its address; a device without a session gets one."""
        if not request.session.session_key:
            request.session.create()
        for key in self._most(request):
            if not cache.add(key, 1, self.seconds):
                try:
                    cache.incr(key)
                except ValueError:  # its time was up just now
                    cache.set(key, 1, self.seconds)


MISSES = Limit("join-miss", device=10, address=300, seconds=600)
"""Wrong codes. Guessing 300 codes in ten minutes finds the one open of 31**6 in 28 years on average."""
GUESTS = Limit("join-guest", device=6, address=1500, seconds=3600)
INVITED = Limit("invited", device=10, address=300, seconds=3600)
"""Places taken by a link without an account; each may send a mail."""
