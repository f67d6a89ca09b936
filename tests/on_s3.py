"""Run a command with S3-compatible storage that lives as long as the command does.

    python -m tests.on_s3 python -m pytest tests/views/test_pictures.py

The server comes from a wheel, keeps everything in memory and listens on this machine only;
TRAINER_S3_* tells the command where.
"""

import logging
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import boto3
from moto.server import ThreadedMotoServer


@contextmanager
def storage() -> Iterator[dict[str, str]]:
    """The settings of a server with an empty bucket."""
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    try:
        _host, port = server.get_host_and_port()
        settings = {
            "TRAINER_S3_BUCKET": "placing-room-tests",
            "TRAINER_S3_ENDPOINT": f"http://127.0.0.1:{port}",
            "TRAINER_S3_REGION": "us-east-1",
            "TRAINER_S3_KEY": "testing",
            "TRAINER_S3_SECRET": "testing",
        }
        client(settings).create_bucket(Bucket=settings["TRAINER_S3_BUCKET"])
        yield settings
    finally:
        server.stop()


def client(settings: dict[str, str]):
    return boto3.client(
        "s3",
        endpoint_url=settings["TRAINER_S3_ENDPOINT"],
        region_name=settings["TRAINER_S3_REGION"],
        aws_access_key_id=settings["TRAINER_S3_KEY"],
        aws_secret_access_key=settings["TRAINER_S3_SECRET"],
    )


def main(command: list[str]) -> int:
    with storage() as settings:
        environment = {**os.environ, **settings}
        return subprocess.run(command, env=environment, check=False).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
