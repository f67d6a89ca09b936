"""The phones of the benches speak as the room's pages and scripts do: one class, from the code to the result."""

import asyncio
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from tests.bench.cycle import Pace, come_in, place
from tests.bench.devices import Phone
from tests.bench.hall import new_hall, new_sitting
from tests.bench.stored import Stored
from tests.browser.under_way import UNDER_WAY

pytestmark = pytest.mark.django_db(transaction=True)
QUICK = Pace(join=0.2, waiting=0.1, open=0.1, burst=0.2, closed=0.1, shown=0.1)


def test_eight_phones_go_through_one_class(live_server):
    address = (live_server.thread.host, live_server.thread.port)
    hall, revision, mentor = new_hall(address, dogs="abcd")
    hall = replace(hall, pace=0.02)
    new_sitting(hall, revision)
    phones = [Phone(hall, number) for number in range(8)]

    async def run():
        came = await come_in(hall, phones, QUICK)
        await place(hall, came, mentor, QUICK)
        return came

    # In a thread of its own: a browser's events may go round in this one.
    with ThreadPoolExecutor(1) as apart:
        assert apart.submit(asyncio.run, run()).result() == phones
    UNDER_WAY.wait()
    stored = Stored(hall.seminar, 1)
    sent = [one for phone in phones for one in phone.sent]
    assert stored.right(sent) == len(sent) == stored.present == 8
    assert (stored.doubled, stored.uncounted, stored.late, stored.left_out) == (0,) * 4
    assert all(phone.sees_result for phone in phones)
