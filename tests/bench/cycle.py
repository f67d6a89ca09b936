"""One class of a seminar, from signing in to reading the result, by as many phones as are given."""

import asyncio
import time
from contextlib import asynccontextmanager
from dataclasses import dataclass
from math import ceil

from tests.bench.devices import Bare, Rostrum, Stage
from tests.bench.network import Missed, Watch

EVERY = {"waiting": 8, "open": 4, "burst": 4, "all in": 4, "closed": 4, "shown": 6}
"""Seconds between two looks of a small room, as trainer/seminars/room.py says them; the bare view can't say them."""


@dataclass(frozen=True)
class Pace:
    """Seconds that each phase lasts; within `join` and `burst` each phone acts at a moment of its own."""

    join: float = 60
    waiting: float = 10
    open: float = 20
    burst: float = 10
    closed: float = 6
    shown: float = 20


@asynccontextmanager
async def running(*jobs):
    """These go on as long as the block does."""
    tasks = [asyncio.create_task(job) for job in jobs]
    try:
        yield
    finally:
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)


async def come_in(hall, phones, pace):
    """All sign in within so many seconds, and look from then on. Return who is in."""
    hall.watch = Watch("signing in")

    async def come(phone):
        await asyncio.sleep(phone.rng.uniform(0, pace.join))
        began = time.perf_counter()
        try:
            await phone.join()
        except Missed:
            return None
        hall.watch.note("join: all of it", "", time.perf_counter() - began)
        looking.append(asyncio.create_task(phone.follow()))
        return phone

    looking = []
    came = await asyncio.gather(*(come(phone) for phone in phones))
    for task in looking:
        task.cancel()
    await asyncio.gather(*looking, return_exceptions=True)
    hall.watch.stop()
    return [phone for phone in came if phone]


async def place(hall, phones, mentor, pace, number=1):
    """The mentor runs the class; the phones follow, hand in within the burst, and read the result."""
    hall.watch = watch = Watch("waiting")
    rostrum, stage = Rostrum(hall, mentor), Stage(hall, mentor)
    await asyncio.gather(rostrum.see("rostrum"), stage.see("stage"))
    followers = [one.follow() for one in (*phones, rostrum, stage)]
    async with running(*followers):
        await asyncio.sleep(pace.waiting)
        watch.phase = "open"
        await rostrum.do(number, "start")
        await asyncio.sleep(pace.open)
        await until(lambda: all(phone.is_asked for phone in phones))
        watch.phase = "burst"
        sending = [asyncio.create_task(_send(phone, pace)) for phone in phones]
        await asyncio.sleep(pace.burst)
        watch.phase = "all in"
        await asyncio.gather(*sending)
        watch.phase = "closed"
        await rostrum.do(number, "close")
        await asyncio.sleep(pace.closed)
        watch.phase = "shown"
        await rostrum.do(number, "show")
        await asyncio.sleep(pace.shown)
        await until(lambda: all(phone.sees_result for phone in phones))
    watch.stop()


async def _send(phone, pace):
    await asyncio.sleep(phone.rng.uniform(0, pace.burst))
    await phone.hand_in()


async def until(is_so, most=120):
    """Wait for it, but not for ever."""
    for _tenth in range(most * 10):
        if is_so():
            return
        await asyncio.sleep(0.1)


async def ask_bare(hall, phones, pace):
    """The same load on the bare view: as many looks, and two more requests of each in the burst."""
    from trainer.seminars.room import LOOKS_A_SECOND

    hall.watch = watch = Watch("waiting")
    bare = [Bare(phone) for phone in phones]
    async with running(*(one.follow() for one in bare)):
        for phase in ("waiting", "open", "burst", "closed", "shown"):
            watch.phase = phase
            for one in bare:
                one.every = max(EVERY[phase], ceil(len(phones) / LOOKS_A_SECOND))
            if phase == "burst":
                sending = [asyncio.create_task(_send(one, pace)) for one in bare]
            await asyncio.sleep(getattr(pace, phase))
        await asyncio.gather(*sending)
    watch.stop()
