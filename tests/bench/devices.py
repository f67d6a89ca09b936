"""What comes to a seminar: phones that sign in by the code, look and hand in as the room's pages and scripts do."""

import asyncio
import json
import random
import re
import time
import uuid
from dataclasses import dataclass, field

from tests.bench.network import PATIENCE, SENDING, Missed, Watch, ask

JITTER, MOST_SECONDS, MOST_MISSES = 0.3, 60, 4  # static/js/seminars/poll.js
RETRY, MOST_RETRY = 2, 30  # static/js/seminars/outbox.js
TYPING_ERRORS = 0.05
TOKEN = re.compile(r"\?v=([\d.]*)\"")
SECONDS = re.compile(r'data-poll="(\d+)"')
CSRF = re.compile(r'name="csrfmiddlewaretoken" value="(\w+)"')
SITTING = re.compile(r'name="sitting" value="(\d+)"')
NUMBER = re.compile(r'data-number="(\d+)"')
QUIET, NEWS = "look, nothing new", "look, something new"
LOOKS = (QUIET, NEWS)


def found(pattern, text):
    one = pattern.search(text)
    return one[1] if one else ""


@dataclass
class Hall:
    """Where the devices are: the site, the seminar, what time is taken, and how fast it goes by (1 in earnest)."""

    address: tuple[str, int]
    seminar: int
    code: str = ""
    watch: Watch = field(default_factory=Watch)
    pace: float = 1.0


class Device:
    """One browser on one page of the room, which looks by itself whether something is new."""

    named = LOOKS

    def __init__(self, hall, path, *, cookies=None, seed=0):
        self.hall, self.path = hall, path
        self.cookies = dict(cookies or {})
        self.rng = random.Random(seed)
        self.text, self.token, self.every, self.misses = "", "", 8, 0

    async def ask(self, step, path, *, form=None, headers=(), deaf=False):
        """One request with this device's cookies, timed. Raises Missed for what has to be tried again."""
        watch, began = self.hall.watch, time.perf_counter()
        phase = watch.phase
        try:
            answer = await ask(
                self.hall.address,
                path,
                cookies=self.cookies,
                headers=headers,
                form=form,
                deaf=deaf,
                patience=SENDING if step == "hand in" else PATIENCE,
            )
            if answer.status >= 500 or answer.status == 429:
                raise Missed(str(answer.status))
        except Missed as error:
            watch.miss(self.named[0] if step == "look" else step, error)
            raise
        self.cookies = {
            name: value
            for name, value in {**self.cookies, **answer.cookies}.items()
            if value
        }
        name = self.named[answer.status == 200] if step == "look" else step
        watch.note(name, phase, time.perf_counter() - began)
        return answer

    async def see(self, step="room"):
        """The whole page."""
        answer = await self.ask(step, self.path)
        self.take_in(answer)

    async def look(self):
        try:
            answer = await self.ask(
                "look", f"{self.path}?v={self.token}", headers=["HX-Request: true"]
            )
        except Missed:
            self.misses = min(self.misses + 1, MOST_MISSES)
            return
        self.misses = 0
        if answer.status != 204:
            self.take_in(answer)

    def take_in(self, answer):
        if answer.status != 200:
            self.hall.watch.miss(self.named[0], answer.status)
            return
        self.text = answer.text
        self.token = found(TOKEN, answer.text)
        self.every = int(found(SECONDS, answer.text))

    async def follow(self):
        """Look again and again, until it is cancelled."""
        await asyncio.sleep(self.every * self.hall.pace * self.rng.random())
        while True:
            await self.look()
            seconds = min(self.every * 2**self.misses, MOST_SECONDS)
            await self.pause(seconds)

    async def pause(self, seconds):
        jitter = self.rng.uniform(1 - JITTER, 1 + JITTER)
        await asyncio.sleep(seconds * self.hall.pace * jitter)


@dataclass
class Sent:
    """One answer of a phone, and what it was told; without a status it was never acknowledged."""

    sitting: int
    submission: str
    placing: str
    status: int | None = None
    receipt: str = ""
    said: str = ""
    tries: int = 0


class Phone(Device):
    """A guest's phone."""

    def __init__(self, hall, number, *, cookies=None):
        path = f"/seminars/{hall.seminar}/room/"
        super().__init__(hall, path, cookies=cookies, seed=number)
        self.number, self.name = number, f"Guest {number:04}"
        self.sent: list[Sent] = []

    async def join(self):
        """In by the code on the screen, with a name alone; some mistype the code first."""
        page = await self.ask("join: page", "/seminars/join/")
        if self.rng.random() < TYPING_ERRORS:
            await self._type(page, "222222")
        told = await self._type(page, self.hall.code)
        page = await self.ask("join: seminar", told.location)
        form = {"csrfmiddlewaretoken": found(CSRF, page.text), "name": self.name}
        told = await self.ask("join: name", told.location, form=form)
        if told.location != self.path:
            self.hall.watch.miss("join: name", told.status)
            raise Missed(str(told.status))
        await self.see("join: room")

    async def _type(self, page, code):
        form = {"csrfmiddlewaretoken": found(CSRF, page.text), "code": code}
        return await self.ask("join: code", "/seminars/join/", form=form)

    @property
    def is_asked(self):
        return bool(found(SITTING, self.text))

    @property
    def sees_result(self):
        return "hand-table" in self.text

    def answer(self):
        """A placing in an order of the phone's own, under a number that it makes."""
        numbers = NUMBER.findall(self.text)
        self.rng.shuffle(numbers)
        number = uuid.UUID(int=self.rng.getrandbits(128), version=4)
        sent = Sent(int(found(SITTING, self.text)), str(number), "-".join(numbers))
        self.sent.append(sent)
        return sent

    async def hand_in(self, sent=None, *, deaf=False, headers=()):
        """Send it until the server has acknowledged it; `deaf`: the first time nothing is heard of that."""
        sent = sent or self.answer()
        form = {
            "csrfmiddlewaretoken": found(CSRF, self.text),
            "sitting": sent.sitting,
            "submission": sent.submission,
            "placing": sent.placing,
            "rulings": "",
        }
        headers = ["Accept: application/json", *headers]
        while sent.status is None:
            try:
                answer = await self.ask(
                    "hand in",
                    f"{self.path}hand-in/",
                    form=form,
                    headers=headers,
                    deaf=deaf and not sent.tries,
                )
            except Missed:
                sent.tries += 1
                await self.pause(min(RETRY * 2 ** (sent.tries - 1), MOST_RETRY))
                continue
            sent.status = answer.status
            told = json.loads(answer.text)
            sent.receipt, sent.said = told.get("receipt", ""), told["said"]
        await self.look()
        return sent


class Rostrum(Device):
    """The mentor's device."""

    named = ("rostrum", "rostrum")

    def __init__(self, hall, cookies):
        super().__init__(hall, f"/seminars/{hall.seminar}/rostrum/", cookies=cookies)

    async def do(self, number, step):
        """Press a button of the sitting."""
        await self.see("rostrum")
        # The mentor does not wait for answers that are on their way.
        form = {"csrfmiddlewaretoken": found(CSRF, self.text), "anyway": "1"}
        path = f"/seminars/{self.hall.seminar}/sittings/{number}/{step}/"
        told = await self.ask(f"mentor: {step}", path, form=form)
        if told.location != self.path:
            raise Missed(f"{step}: {told.status}")
        await self.look()


class Stage(Device):
    """The projector."""

    named = ("stage", "stage")

    def __init__(self, hall, cookies):
        super().__init__(hall, f"/seminars/{hall.seminar}/stage/", cookies=cookies)


class Bare(Device):
    """A phone that asks for the bare view instead, as often and at the same times."""

    def __init__(self, phone):
        super().__init__(phone.hall, "/bare/", cookies=phone.cookies, seed=phone.name)

    async def look(self):
        try:
            answer = await self.ask("look", self.path)
            if answer.status != 200:
                self.hall.watch.miss(self.named[0], answer.status)
        except Missed:
            pass

    async def hand_in(self):
        await self.look()
        await self.look()
