"""What seminars keep: the seminar, who comes, what is run in the room, what is handed out afterwards."""

from trainer.seminars.models.afterwards import Certificate, Feedback
from trainer.seminars.models.attendees import Attendee, Presence
from trainer.seminars.models.invitations import SeminarInvitation
from trainer.seminars.models.seminars import Seminar, Session
from trainer.seminars.models.sittings import Hand, Sitting

__all__ = [
    "Attendee",
    "Certificate",
    "Feedback",
    "Hand",
    "Presence",
    "Seminar",
    "SeminarInvitation",
    "Session",
    "Sitting",
]
