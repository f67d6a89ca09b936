"""What the database holds of a sitting, for comparison with what the phones were told."""

from collections import Counter

from trainer.seminars import asking
from trainer.seminars.models import Attendee, Hand, Presence, Sitting


class Stored:
    """Read once, after the devices have gone quiet."""

    def __init__(self, seminar, number):
        sittings = Sitting.objects.select_related("revision__exercise")
        self.sitting = sittings.get(seminar=seminar, number=number)
        self.room = asking.room_of(self.sitting.revision)
        handed_in = Hand.objects.filter(sitting=self.sitting).handed_in()
        self.hands = {str(one.submission): one for one in handed_in}
        self.places = Attendee.objects.filter(seminar=seminar).count()
        here = Presence.objects.filter(attendee__seminar=seminar)
        self.present = here.running().count()
        each = Counter(one.attendee_id for one in self.hands.values())
        over = sum(count - 1 for count in each.values())
        self.doubled = over + max(self.sitting.handed_in - len(self.hands), 0)
        self.uncounted = max(len(self.hands) - self.sitting.handed_in, 0)

    def holds(self, sent):
        """Whether it is stored under its number, as it was sent and with the receipt that was told."""
        hand = self.hands.get(sent.submission)
        if hand is None:
            return False
        written, _ruled = self.room.in_writing(hand.answer)
        return (written, hand.receipt) == (sent.placing, sent.receipt)

    def right(self, sent):
        return sum(self.holds(one) for one in sent)

    @property
    def late(self):
        return sum(hand.is_late for hand in self.hands.values())

    def wrongly_late(self, late):
        """How many are marked and should not be, or the other way round; None: any may be."""
        if late is None:
            return 0
        return sum(
            hand.is_late != (number in late) for number, hand in self.hands.items()
        )

    @property
    def left_out(self):
        """Answers in time that the room's result does not hold."""
        in_time = [hand for hand in self.hands.values() if not hand.is_late]
        counted = (self.sitting.result or {}).get("counted", 0)
        ungraded = sum(hand.grade is None for hand in in_time)
        return max(ungraded, abs(len(in_time) - counted))

    def outside(self, began, ended):
        """Answers whose time is not the server's."""
        times = [hand.handed_in_at for hand in self.hands.values()]
        return sum(not began <= at <= ended for at in times)
