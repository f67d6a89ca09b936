"""How a thousand phones fare in one room, beside the same load on a bare view that reads session and user.

    python -m tests.bench.room_bench [--database both] [--phones 1000] [--workers 2] [--threads 4]

Gunicorn with the settings of production on a scratch database; the phones are one process on the same
machine. They sign in as guests by the code from one address, look at the rhythm the product gives, hand in
within ten seconds, and read the result. Afterwards every answer is compared with what its phone was told.
"""

import argparse
import asyncio
import os
import subprocess
import sys
import time

from tests.bench.cycle import Pace, ask_bare, come_in, place
from tests.bench.devices import LOOKS, QUIET, Phone
from tests.bench.hall import DATABASES, new_hall, new_sitting, served
from tests.bench.network import Lag, share

MOST_TIMES = 3
"""Goal: how many times the bare view's 95th percentile the phones' looks may take."""


def main():
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--database", choices=[*DATABASES, "both"], default="both")
    asked.add_argument("--phones", type=int, default=1000)
    asked.add_argument("--workers", type=int, default=2)
    asked.add_argument("--threads", type=int, default=4)
    options = asked.parse_args()
    if options.database == "both":
        return each_by_itself("tests.bench.room_bench", sys.argv[1:])
    return 0 if measure(options) else 1


def each_by_itself(module, arguments):
    """One process for each database: settings are read once. Return 1 if one failed."""
    runs = [
        subprocess.run(
            [sys.executable, "-m", module, *arguments, "--database", database],
            check=False,
        )
        for database in DATABASES
    ]
    return max(min(one.returncode, 1) for one in runs)


def measure(options):
    """Run the whole and print it; True if every goal was kept."""
    with served(
        options.database, workers=options.workers, threads=options.threads
    ) as server:
        hall, revision, mentor = new_hall(server.address)
        new_sitting(hall, revision)
        print(
            f"\n{options.database}: {options.phones} phones, {options.workers} workers with {options.threads}"
            f" threads, {os.cpu_count()} processors, load {os.getloadavg()[0]:.1f} before"
        )
        phones = [Phone(hall, number) for number in range(options.phones)]
        came, watches, client = asyncio.run(run(server, hall, phones, mentor, Pace()))
        kept = [
            report(*watches, client),
            *check(hall, phones, came),
        ]
        for line in server.complaints():
            print(f"  the server said: {line}")
        return all(kept)


async def run(server, hall, phones, mentor, pace):
    """Sign in, then the bare view, then the room. Return who came, the three watches, what the client cost."""
    lag, began, used = Lag(), time.perf_counter(), time.process_time()
    watching = asyncio.create_task(lag.watch())
    watches = []

    async def watched(part):
        before = server.busy()
        found = await part
        hall.watch.busy = server.busy() - before
        watches.append(hall.watch)
        return found

    came = await watched(come_in(hall, phones, pace))
    await watched(ask_bare(hall, came, pace))
    await watched(place(hall, came, mentor, pace))
    watching.cancel()
    busy = (time.process_time() - used) / (time.perf_counter() - began)
    return came, watches, (busy, sorted(lag.late))


def report(joining, bare, room, client):
    """Print the tables; True if the goal was kept."""
    print(
        f"{'step':24} {'n':>6} {'p50 ms':>8} {'p95 ms':>8} {'p99 ms':>8} {'errors':>6} {'a second':>8}"
    )
    for name, watch in (("", joining), ("", room), ("bare view, ", bare)):
        for step in watch.steps():
            row(name + step, watch, step)
    row("all looks", room, *LOOKS)
    for watch in (joining, room, bare):
        for said, count in watch.why.most_common(6):
            print(f"  {count} times {said}")
    print("\nlooks, p95 in ms, by what the room is at")
    for phase in bare.phases():
        compared(phase, room.of(*LOOKS, phase=phase), bare.of(*LOOKS, phase=phase))
    times = compared("all", room.of(*LOOKS), bare.of(*LOOKS))
    quiet = compared("204 alone", room.of(QUIET), bare.of(*LOOKS))
    for name, watch in (("signing in", joining), ("the room", room), ("bare", bare)):
        each = 1000 * watch.busy / watch.answered
        print(
            f"workers' processor time, {name}: {watch.busy:.0f} s, {each:.1f} ms each"
        )
    busy, late = client
    print(
        f"the phones' own process: {busy:.0%} of one processor, its loop late by {1000 * share(late, 0.5):.0f} ms"
        f" (p50), {1000 * share(late, 0.95):.0f} ms (p95); load {os.getloadavg()[0]:.1f} after"
    )
    goal = f"within {MOST_TIMES} times the bare view"
    told(
        f"looks that find nothing new {goal}", f"{quiet:.1f} times", quiet <= MOST_TIMES
    )
    return told(f"all looks {goal}", f"{times:.1f} times", times <= MOST_TIMES)


def row(name, watch, *steps):
    times = watch.of(*steps)
    failed = sum(watch.failed[step] for step in steps)
    cells = [f"{1000 * share(times, part):8.0f}" for part in (0.5, 0.95, 0.99)]
    rate = len(times) / (watch.ended - watch.began)
    print(f"{name:24} {len(times):6} {' '.join(cells)} {failed:6} {rate:8.1f}")


def compared(phase, times, bare):
    mine, other = share(times, 0.95), share(bare, 0.95)
    ratio = mine / other if other else 0
    print(
        f"  {phase:10} {1000 * mine:7.0f}  bare {1000 * other:7.0f}  {ratio:5.1f} times"
    )
    return ratio


def told(what, value, is_kept):
    print(f"{what:56} {value:22} {'kept' if is_kept else 'MISSED'}")
    return is_kept


def check(hall, phones, came):
    """Compare the database with what the phones were told; whether each of the demands was kept."""
    from tests.bench.stored import Stored

    stored = Stored(hall.seminar, 1)
    sent = [one for phone in came for one in phone.sent]
    result = stored.sitting.result or {}
    everybody = len(phones)
    yield told("came in", f"{len(came)} of {everybody}", len(came) == everybody)
    yield told(
        "places, and people in the room",
        f"{stored.places}, {stored.present}",
        stored.places == stored.present == everybody,
    )
    yield told(
        "answers as acknowledged",
        f"{stored.right(sent)} of {len(sent)}",
        stored.right(sent) == len(sent) == everybody,
    )
    yield told("stored twice", str(stored.doubled), stored.doubled == 0)
    yield told(
        "counted in the room's result",
        f"{result.get('counted')}, late {result.get('late')}",
        (result.get("counted"), result.get("late")) == (everybody, 0),
    )
    seen = sum(phone.sees_result for phone in came)
    yield told("phones that show the result", str(seen), seen == everybody)


if __name__ == "__main__":
    sys.exit(main())
