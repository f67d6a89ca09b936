"""What came after the demo's finished seminar: a stay corrected, certificates, one issued anew, what attendees say."""

from __future__ import annotations

from datetime import timedelta

from trainer.seminars import certifying, services
from trainer.seminars.models import Attendee, Certificate, Feedback, Seminar


def finish(made: Seminar, places: list[Attendee], said: dict, *, rng) -> None:
    """As an organiser would the evening after; one certificate was wrong and is issued anew two days later."""
    evening = made.ends_at + timedelta(hours=5)
    certifying.issue(made, by=made.made_by, now=evening)
    _issued_anew(made, said["wrong"], now=evening + timedelta(days=2))
    _feedback(made, places, said["feedback"], rng)


def _issued_anew(made: Seminar, said: dict, *, now) -> None:
    """Of the first who, by what was noted, left early."""
    early = Certificate.objects.filter(
        seminar=made, attendee__stays__out_at__lt=made.ends_at
    )
    certificate = early.select_related("seminar__club", "attendee").order_by("number")[
        0
    ]
    stay = certificate.attendee.stays.get()
    services.correct(
        stay, in_at=stay.in_at, out_at=made.ends_at, note=said["note"], by=made.made_by
    )
    certifying.issue_anew(certificate, said["why"], by=made.made_by, now=now)


def _feedback(made: Seminar, places, words, rng) -> None:
    """From as many attendees as there are words; which of them is left to the seed."""
    Feedback.objects.bulk_create(
        Feedback(
            seminar=made,
            attendee=place,
            useful=useful,
            good=good,
            better=better,
            given_at=made.ends_at + timedelta(hours=2),
        )
        for place, (useful, good, better) in zip(
            rng.sample(places, len(words)), words, strict=True
        )
    )
