"""Requests of many devices in one process, and what each step took. Standard library alone.

Each request has a connection of its own: gunicorn closes an idle one after two seconds, sooner than a phone looks again.
"""

import asyncio
import time
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from urllib.parse import urlencode

PATIENCE, SENDING = 60, 10
"""Seconds until a request counts as failed: a page, as browsers have it; an answer, as static/js/seminars/outbox.js."""


class Missed(Exception):
    """No answer, or one that means: try again later."""


@dataclass
class Answer:
    status: int
    text: str
    location: str = ""
    cookies: dict = field(default_factory=dict)


@dataclass
class Watch:
    """How long each step took, by the phase in which it began, and how often it failed."""

    phase: str = ""
    began: float = field(default_factory=time.perf_counter)
    ended: float = 0.0
    busy: float = 0.0
    took: dict = field(default_factory=lambda: defaultdict(list))
    failed: Counter = field(default_factory=Counter)
    why: Counter = field(default_factory=Counter)

    def note(self, step, phase, seconds):
        self.took[step, phase].append(seconds)

    def miss(self, step, error):
        self.failed[step] += 1
        self.why[f"{step}: {error}"] += 1

    def stop(self):
        self.ended = time.perf_counter()

    @property
    def answered(self):
        return sum(map(len, self.took.values()))

    def of(self, *steps, phase=None):
        """All times of these steps, in one phase or in all."""
        found = [
            times
            for (step, at), times in self.took.items()
            if step in steps and phase in (None, at)
        ]
        return sorted(one for times in found for one in times)

    def steps(self):
        return list(dict.fromkeys(step for step, _phase in self.took))

    def phases(self):
        return list(dict.fromkeys(phase for _step, phase in self.took))


def share(times, part):
    """The time that this part of them did not exceed; `times` are sorted."""
    return times[min(int(part * len(times)), len(times) - 1)] if times else 0.0


@dataclass
class Lag:
    """How late the loop of the devices comes round: what it adds to every time measured."""

    late: list = field(default_factory=list)

    async def watch(self, pause=0.05):
        while True:
            began = time.perf_counter()
            await asyncio.sleep(pause)
            self.late.append(time.perf_counter() - began - pause)


async def ask(
    address, path, *, cookies, headers=(), form=None, deaf=False, patience=PATIENCE
):
    """One request, and its answer. Raises Missed without one.

    deaf : go away as soon as the server begins to answer, when all is done and nothing heard
    """
    try:
        async with asyncio.timeout(patience):
            data = await _exchange(
                address, _request(address, path, cookies, headers, form), deaf
            )
        return _read(data)
    except (OSError, TimeoutError, ValueError, EOFError) as error:
        raise Missed(type(error).__name__) from error


def _request(address, path, cookies, headers, form):
    body = b"" if form is None else urlencode(form).encode()
    lines = [
        f"{'GET' if form is None else 'POST'} {path} HTTP/1.1",
        f"Host: {address[0]}:{address[1]}",
        "Connection: close",
        f"Cookie: {'; '.join(f'{name}={value}' for name, value in cookies.items())}",
        *headers,
    ]
    if form is not None:
        lines += [
            "Content-Type: application/x-www-form-urlencoded",
            f"Content-Length: {len(body)}",
        ]
    return "\r\n".join([*lines, "", ""]).encode() + body


async def _exchange(address, request, deaf):
    reader, writer = await asyncio.open_connection(*address)
    try:
        writer.write(request)
        await writer.drain()
        if deaf:
            await reader.readexactly(1)
            raise ConnectionAbortedError
        return await reader.read()
    finally:
        writer.close()


def _read(data):
    """The answer in what came. Raises EOFError if it broke off."""
    head, parted, body = data.partition(b"\r\n\r\n")
    if not parted:
        raise EOFError
    first, *lines = head.decode("latin-1").split("\r\n")
    answer = Answer(int(first.split()[1]), "")
    for line in lines:
        name, _, value = line.partition(": ")
        name = name.lower()
        if name == "set-cookie":
            cookie, _, kept = value.partition(";")[0].partition("=")
            answer.cookies[cookie] = kept.strip('"')
        elif name == "location":
            answer.location = value
        elif name == "content-length" and int(value) > len(body):
            raise EOFError
    answer.text = body.decode()
    return answer
