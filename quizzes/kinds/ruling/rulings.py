"""What a judge can do about what happens in the ring, in the words of the trade and the same for every situation."""

from __future__ import annotations

from django.db.models import TextChoices
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy


class Ruling(TextChoices):
    """From what changes least to what is out of the judge's hands."""

    NOTE = "note", gettext_lazy("Carry on and note it")
    LOWER = "place_lower", gettext_lazy("Weigh it in the placing")
    MEASURE = "measure", gettext_lazy("Have it measured")
    WITHHOLD = "withhold", gettext_lazy("Withhold")
    EXCUSE = "excuse", gettext_lazy("Excuse")
    DISQUALIFY = "disqualify", gettext_lazy("Disqualify")
    ABSENT = "absent", gettext_lazy("Mark it absent")
    INELIGIBLE = "ineligible", gettext_lazy("Mark it ineligible")
    STEWARD = "steward", gettext_lazy("Have the steward see to it")
    OFFICIALS = "officials", gettext_lazy("Refer it to the show's officials")

    @property
    def meaning(self) -> str:
        """What it comes to, and what is written."""
        return {
            "note": _(
                "Nothing changes. You keep it in mind, or put a line in the critique."
            ),
            "place_lower": _(
                "The dog stays and is placed with the rest, with this held against it."
            ),
            "measure": _(
                "By whoever the rules name, where breed or class has a limit. What came of it is written."
            ),
            "withhold": _("No award, for want of merit. Written with the reason."),
            "excuse": _(
                "The dog leaves the ring this time and may come another day. Written with the reason."
            ),
            "disqualify": _(
                "For what the standard or the rules name. Written with the reason, often on a form."
            ),
            "absent": _("Entered, and not brought into the ring."),
            "ineligible": _(
                "Outside the conditions of the class. Written with the reason."
            ),
            "steward": _(
                "People, order and papers at the ring. You ask, the steward acts."
            ),
            "officials": _(
                "Committee, vet or management decide, on what you report. You judge what is in the ring."
            ),
        }[self.value]
