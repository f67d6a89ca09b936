"""How soon a worker answers after its start, and how much memory it holds.

    python -m tests.bench.worker_bench [--starts 5]

Starts gunicorn with one worker and the settings of production, static files collected, on
a scratch database with the demo. Memory is read from /proc, so this runs on Linux only.
"""

import argparse
import os
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median
from urllib.error import URLError
from urllib.request import Request, urlopen

from tests.bench.pages_bench import Page, demo_pages, set_up

MOST_SECONDS, MOST_MEGABYTES = 3, 250
WAIT_SECONDS = 60
SIGN_IN = Page("sign-in", "/account/login/", "")


def main():
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--starts", type=int, default=5)
    starts = asked.parse_args().starts
    with tempfile.TemporaryDirectory() as folder:
        set_up(folder)
        pages = demo_pages()[1:]
        measured = [start(pages) for _start in range(starts)]
    seconds, fresh, used = map(max, zip(*measured, strict=True))
    typical = median(first for first, _fresh, _used in measured)
    say(
        "first page answered",
        f"{typical:.2f} s, at worst {seconds:.2f} s",
        seconds,
        MOST_SECONDS,
    )
    say("memory after it", f"{fresh:.0f} MB", fresh, MOST_MEGABYTES)
    say(
        f"memory after {len(pages)} pages, thrice each",
        f"{used:.0f} MB",
        used,
        MOST_MEGABYTES,
    )


def say(what, value, measured, most):
    verdict = "kept" if measured <= most else "MISSED"
    print(f"{what:38} {value:28} goal {most} {verdict}")


def start(pages):
    """Seconds to the first page, and megabytes of the worker after it and after all pages."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = f"127.0.0.1:{free.getsockname()[1]}"
    began = time.perf_counter()
    master = subprocess.Popen(
        [
            *(sys.executable, "-m", "gunicorn", "trainer.wsgi", "--bind", address),
            *("--workers", "1", "--threads", "4", "--worker-tmp-dir", "/dev/shm"),
            *("--log-level", "error"),
        ]
    )
    try:
        answer_of(address, SIGN_IN, until=began + WAIT_SECONDS)
        seconds = time.perf_counter() - began
        fresh = worker_megabytes(master.pid)
        for page in pages * 3:
            answer_of(address, page)
        return seconds, fresh, worker_megabytes(master.pid)
    finally:
        master.terminate()
        master.wait()


def answer_of(address, page, until=0.0):
    """The body of a page; keeps asking until then while nobody listens yet."""
    request = Request(
        f"http://{address}{page.address}", headers={"Cookie": page.cookie}
    )
    while True:
        try:
            with urlopen(request, timeout=WAIT_SECONDS) as response:
                return response.read()
        except URLError as error:
            listens = not isinstance(error.reason, ConnectionRefusedError)
            if listens or time.perf_counter() > until:
                raise
            time.sleep(0.01)


def worker_megabytes(master):
    """Resident memory of gunicorn's one worker."""
    (worker,) = Path(f"/proc/{master}/task/{master}/children").read_text().split()
    pages = int(Path(f"/proc/{worker}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1024**2


if __name__ == "__main__":
    main()
