"""What goes wrong in a room, one function each: what is done to the phones, the network and the server."""

import asyncio
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime

from tests.bench.cycle import running, until
from tests.bench.devices import Phone, Rostrum, Sent, Stage
from tests.bench.hall import new_sitting
from tests.bench.network import Watch

BURST = 6
CLOCK = 8
GRACE = 20  # trainer/seminars/models/sittings.py


@dataclass
class Played:
    """One fault in one sitting: what the phones sent and when, and what of it has to be late; None if some may."""

    name: str
    number: int
    sent: list[Sent] = field(default_factory=list)
    late: set[str] | None = field(default_factory=set)
    began: datetime = field(default_factory=lambda: datetime.now(UTC))
    ended: datetime | None = None
    notes: list[str] = field(default_factory=list)


@dataclass
class Scene:
    """A room with its server, and what has been played in it."""

    server: object
    hall: object
    revision: object
    mentor: dict
    phones: list[Phone]
    played: list[Played] = field(default_factory=list)

    async def play(self, name: str, fault: Callable):
        """Open a sitting, let the fault happen, close and show; who has not heard by then never did."""
        self.hall.watch = Watch(name)
        seconds = CLOCK if fault in WITH_CLOCK else None
        number = await asyncio.to_thread(
            new_sitting, self.hall, self.revision, seconds=seconds
        )
        now = Played(name, number)
        self.played.append(now)
        self.rostrum = Rostrum(self.hall, self.mentor)
        await self.rostrum.do(number, "start")
        for phone in self.phones:
            phone.sent = []
        await asyncio.gather(*(phone.look() for phone in self.phones))
        assert all(phone.is_asked for phone in self.phones)
        await fault(self, now)
        now.sent += [one for phone in self.phones for one in phone.sent]
        now.ended = datetime.now(UTC)
        await self.end(number)
        misses = sum(self.hall.watch.failed.values())
        now.notes.append(f"{misses} requests without an answer, and asked again")

    async def end(self, number):
        """Close and show, as far as the fault has not."""
        for step, shown in (("close", "do-close"), ("show", "do-show")):
            await self.rostrum.see("rostrum")
            if f'id="{shown}"' in self.rostrum.text:
                await self.rostrum.do(number, step)

    async def burst(self, send=None, seconds=BURST):
        """Every phone hands in at a moment of its own."""

        async def one(phone):
            await asyncio.sleep(phone.rng.uniform(0, seconds))
            await (send or Phone.hand_in)(phone)

        await asyncio.gather(*(one(phone) for phone in self.phones))


async def killed(scene, played):
    """The server dies in the middle of the burst and is started again; rostrum and stage go on."""
    stage = Stage(scene.hall, scene.mentor)
    await stage.see("stage")
    looking = [one.follow() for one in (*scene.phones, scene.rostrum, stage)]
    async with running(*looking):
        sending = asyncio.create_task(scene.burst())
        await asyncio.sleep(BURST / 3)
        scene.server.kill()
        await asyncio.sleep(1)
        began = time.perf_counter()
        await asyncio.to_thread(scene.server.start)
        again = time.perf_counter() - began
        await sending
        all_in = "<b>{0}</b> of {0} in".format(len(scene.phones))
        await until(lambda: all_in in stage.text, most=60)
    resent = sum(one.tries > 0 for phone in scene.phones for one in phone.sent)
    follows = all_in in stage.text
    played.notes.append(
        f"answered again after {again:.1f} s; {resent} answers sent again;"
        f" the stage follows: {'yes' if follows else 'NO'}"
    )


async def unheard(scene, played):
    """The connection goes after the answer is stored and before the phone hears of it."""
    await scene.burst(lambda phone: phone.hand_in(deaf=True))
    assert all(one.tries for phone in scene.phones for one in phone.sent)


async def two_tabs(scene, played):
    """Two tabs of one phone hand in at the same moment, each its own answer."""

    async def both(phone):
        first, second = phone.answer(), phone.answer()
        await asyncio.gather(phone.hand_in(first), phone.hand_in(second))

    await scene.burst(both)


async def one_answer_in_two_tabs(scene, played):
    """What the phone kept is sent by two tabs at once, under the same number."""

    async def both(phone):
        sent = phone.answer()
        other = Sent(sent.sitting, sent.submission, sent.placing)
        await asyncio.gather(phone.hand_in(sent), phone.hand_in(other))
        assert sent.receipt == other.receipt

    await scene.burst(both)


async def wrong_clock(scene, played):
    """Half of the phones are an hour ahead, half behind. All that says so is the header Date; no field does."""

    async def send(phone):
        hour = timedelta(hours=1 if phone.number % 2 else -1)
        date = format_datetime(datetime.now(UTC) + hour, usegmt=True)
        await phone.hand_in(headers=[f"Date: {date}"])

    await scene.burst(send)


async def nobody_at_the_rostrum(scene, played):
    """The time runs out by itself: a third hands in before, a third in the grace after it, a third later."""
    thirds = [scene.phones[at::3] for at in range(3)]
    waits = (0, CLOCK + 2, CLOCK + GRACE + 3)
    async with running(*(phone.follow() for phone in scene.phones)):
        await asyncio.gather(*map(_later, thirds, waits))
    played.late = {one.submission for phone in thirds[2] for one in phone.sent}


async def nobody_looks(scene, played):
    """Every screen is dark until the time and the grace are over: what comes first is an answer."""
    await _later(scene.phones, CLOCK + GRACE + 3)
    played.late = {one.submission for phone in scene.phones for one in phone.sent}


async def _later(phones, seconds):
    await asyncio.sleep(seconds)
    await asyncio.gather(*(phone.hand_in() for phone in phones))


async def shown_in_the_burst(scene, played):
    """The mentor closes and shows the key while answers are on their way."""
    sending = asyncio.create_task(scene.burst(seconds=2))
    await asyncio.sleep(1)
    await scene.end(played.number)
    await sending
    played.late = None


WITH_CLOCK = {nobody_at_the_rostrum, nobody_looks}
FAULTS = {
    "server killed in the burst, started again": killed,
    "connection gone after storing, before hearing": unheard,
    "two tabs, each its own answer": two_tabs,
    "two tabs, the same answer at once": one_answer_in_two_tabs,
    "clock of the phone wrong by an hour": wrong_clock,
    "nobody at the rostrum: the time runs out": nobody_at_the_rostrum,
    "nobody looks, every screen dark": nobody_looks,
    "closed and shown in the burst": shown_in_the_burst,
}
