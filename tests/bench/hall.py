"""A scratch site as in production, served by gunicorn, with a seminar that many come to."""

import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager, nullcontext
from urllib.request import urlopen

from tests.bench.devices import Hall
from tests.bench.pages_bench import set_up
from tests.on_postgresql import postgresql

WAIT_SECONDS = 60
DATABASES = ("sqlite", "postgresql")


class Server:
    """Gunicorn with the settings of production, which can be killed and started again at its address."""

    def __init__(self, workers, threads):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.address = free.getsockname()
        self.options = [
            *("--bind", f"127.0.0.1:{self.address[1]}", "--log-level", "error"),
            *("--workers", str(workers), "--threads", str(threads)),
            *("--worker-tmp-dir", "/dev/shm"),
        ]
        self.process = None

    def start(self):
        """Return once it answers."""
        self.process = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", "tests.bench.with_bare", *self.options],
            start_new_session=True,
            stderr=self._said(),
        )
        page = "http://{}:{}/seminars/join/".format(*self.address)
        until = time.perf_counter() + WAIT_SECONDS
        while True:
            try:
                with urlopen(page) as answer:
                    return answer.read()
            except OSError:
                if time.perf_counter() > until:
                    raise
                time.sleep(0.05)

    def _said(self):
        """What the server says goes to a file beside the database; a bench shows it when something failed."""
        self.log = os.path.join(os.environ["TRAINER_VAR_DIR"], "server.log")
        return open(self.log, "ab")

    def kill(self):
        """All of it at once, with nothing finished."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def stop(self):
        self.process.terminate()
        self.process.wait()

    def busy(self):
        """Seconds of the processor that the workers have used; from /proc, so on Linux only."""
        task = f"/proc/{self.process.pid}/task/{self.process.pid}/children"
        with open(task) as children:
            return sum(_seconds(worker) for worker in children.read().split())

    def complaints(self, most=5):
        """The last lines of tracebacks in what the server said."""
        with open(self.log, encoding="utf-8", errors="replace") as said:
            lines = [line.strip() for line in said if "Error" in line]
        return list(dict.fromkeys(line[-150:] for line in lines))[-most:]


def _seconds(process):
    with open(f"/proc/{process}/stat") as stat:
        user, system = stat.read().rpartition(")")[2].split()[11:13]
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


@contextmanager
def served(database, *, workers, threads):
    """A server on a fresh database of this kind."""
    kept = postgresql() if database == "postgresql" else nullcontext("")
    with tempfile.TemporaryDirectory() as folder, kept as url:
        set_up(folder, database=url, demo=False)
        server = Server(workers, threads)
        server.start()
        try:
            yield server
        finally:
            server.stop()
            let_go()


def let_go():
    """Close this process's own connections: a database in use does not stop."""
    from django.db import connections

    connections.close_all()
    for one in connections.all():
        if hasattr(one, "close_pool"):
            one.close_pool()


def new_hall(address, *, dogs="abcdefgh"):
    """A seminar that takes guests, with one class to place; where it is, the class, and the mentor's cookies."""
    from django.test import Client

    from tests.factories import ClubFactory, MembershipFactory
    from tests.placing import placing_class
    from tests.seminars import seminar
    from trainer.clubs.models import Role

    club = ClubFactory()
    mentor = MembershipFactory(club=club, role=Role.MENTOR).user
    held = seminar(club, mentors=[mentor])
    revision = placing_class(club, names=dogs)
    client = Client()
    client.force_login(mentor)
    cookies = {name: one.value for name, one in client.cookies.items()}
    return Hall(address, held.pk, held.join_code), revision, cookies


def new_sitting(hall, revision, *, seconds=None):
    """One more time to place the class; its number in the seminar."""
    from trainer.seminars import sittings
    from trainer.seminars.models import Seminar

    held = Seminar.objects.get(pk=hall.seminar)
    return sittings.add(held, revision, seconds=seconds).number
