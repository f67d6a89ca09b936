"""What the server is answering, so that a test ends only when nothing of it is left."""

import threading
import time

from django.core.signals import request_finished, request_started


class UnderWay:
    """How many requests are being answered; those of Django's own test client don't count."""

    def __init__(self):
        self.count, self.lock = 0, threading.Lock()
        request_started.connect(self._started)
        request_finished.connect(self._finished)

    def _started(self, **_signal):
        self._add(1)

    def _finished(self, **_signal):
        self._add(-1)

    def _add(self, more):
        if threading.current_thread() is not threading.main_thread():
            with self.lock:
                self.count += more

    def wait(self, limit=5.0, quiet=0.03):
        """Until nothing was being answered for a moment, in which what was just sent arrives."""
        now = time.monotonic()
        end, since = now + limit, now
        while now < end and now - since < quiet:
            time.sleep(0.005)
            now = time.monotonic()
            if self.count:
                since = now


UNDER_WAY = UnderWay()
