"""A server that a test can stop and start again at its address."""

from contextlib import contextmanager

from django.core.servers.basehttp import WSGIRequestHandler
from django.test.testcases import LiveServerThread
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import Visits


class SamePortServer(LiveServerThread.server_class):
    """Takes its port again at once, as a restarted server does."""

    def __init__(self, *args, **options):
        super().__init__(*args, **{**options, "allow_reuse_address": True})


class Restarting:
    """The pages of a server that can be stopped in the middle."""

    def __init__(self, chromium):
        self.server = LiveServer("localhost")
        self.port = self.server.thread.port
        self.visits = Visits(chromium, self.server.url)

    def stop(self):
        self.server.stop()

    def start(self):
        self.server = LiveServer(f"localhost:{self.port}")


@contextmanager
def restarting_server(chromium, monkeypatch):
    """Fails the test if a page had an error, as the visits of other tests do."""
    # One request per connection: an open one would be answered after the server stopped.
    monkeypatch.setattr(WSGIRequestHandler, "protocol_version", "HTTP/1.0")
    monkeypatch.setattr(LiveServerThread, "server_class", SamePortServer)
    one = Restarting(chromium)
    yield one
    one.visits.close()
    one.stop()
    assert one.visits.errors == []
