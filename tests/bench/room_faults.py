"""What becomes of answers when things go wrong in a room: sent, stored, doubled, lost, late.

    python -m tests.bench.room_faults [--database both] [--phones 60]

Gunicorn with the settings of production on a scratch database, phones that send as the page's script does.
Ends with 1 if an answer was lost, stored twice, or marked late or in time where it should be otherwise.
"""

import argparse
import asyncio
import sys
from dataclasses import dataclass

from tests.bench.cycle import Pace, come_in
from tests.bench.devices import Phone
from tests.bench.faults import FAULTS, Scene
from tests.bench.hall import DATABASES, new_hall, served
from tests.bench.room_bench import each_by_itself


def main():
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--database", choices=[*DATABASES, "both"], default="both")
    asked.add_argument("--phones", type=int, default=60)
    options = asked.parse_args()
    if options.database == "both":
        return each_by_itself("tests.bench.room_faults", sys.argv[1:])
    with served(options.database, workers=2, threads=4) as server:
        hall, revision, mentor = new_hall(server.address)
        phones = [Phone(hall, number) for number in range(options.phones)]
        scene = Scene(server, hall, revision, mentor, phones)
        asyncio.run(play(scene))
        print(f"\n{options.database}: {options.phones} phones")
        all_well = report(scene)
        for line in server.complaints():
            print(f"  the server said: {line}")
    return 0 if all_well else 1


async def play(scene):
    """One fault after the other, each in a sitting of its own."""
    came = await come_in(scene.hall, scene.phones, Pace(join=len(scene.phones) / 12))
    assert len(came) == len(scene.phones), scene.hall.watch.why
    for name, fault in FAULTS.items():
        await scene.play(name, fault)


@dataclass
class Counts:
    """What was sent in one sitting, and what is stored."""

    sent: int
    stored: int
    refused: int
    doubled: int
    lost: int
    late: int
    wrong: int

    @property
    def is_well(self):
        return not (self.doubled or self.lost or self.wrong)


def counted(scene, played) -> Counts:
    """Compare.

    lost : acknowledged and not stored so, or never acknowledged
    refused : the phone was told that another answer of its own is in
    wrong : late and not marked so, marked and not late, neither late nor in the room's result, or stored
        under another time than the server's
    """
    from tests.bench.stored import Stored

    stored = Stored(scene.hall.seminar, played.number)
    acknowledged = [one for one in played.sent if one.status == 200]
    refused = sum(one.status == 409 for one in played.sent)
    unheard = len(played.sent) - len(acknowledged) - refused
    lost = len(acknowledged) - stored.right(acknowledged) + unheard
    return Counts(
        sent=len(played.sent),
        stored=len(stored.hands),
        refused=refused,
        doubled=stored.doubled,
        lost=lost + stored.uncounted,
        late=stored.late,
        wrong=stored.wrongly_late(played.late)
        + stored.left_out
        + stored.outside(played.began, played.ended),
    )


def report(scene) -> bool:
    heads = ("sent", "stored", "refused", "doubled", "lost", "late", "wrong")
    print(f"{'fault':58}" + "".join(f"{head:>9}" for head in heads))
    wells = []
    for played in scene.played:
        counts = counted(scene, played)
        figures = "".join(f"{getattr(counts, head):9}" for head in heads)
        wells.append(counts.is_well)
        print(f"{played.name:58}{figures}  {'kept' if wells[-1] else 'MISSED'}")
        for line in played.notes:
            print(f"    {line}")
    return all(wells)


if __name__ == "__main__":
    sys.exit(main())
