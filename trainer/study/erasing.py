"""What becomes of modules and of reading when somebody's account is deleted."""

from __future__ import annotations

from django.db.models import Q
from django.utils.translation import gettext as _

from trainer.accounts.erasing import Part
from trainer.study import reading
from trainer.study.models import ModuleRevision


def stays(user) -> list[str]:
    mine = ModuleRevision.objects.filter(Q(author=user) | Q(edited_by=user))
    if not mine.exists():
        return []
    return [
        _(
            "Study modules that you wrote for a club: they stay with the club, without your name. "
            "If you want one withdrawn, withdraw it before."
        )
    ]


def erase(user, now) -> None:
    """Documents kept in this process may name the author; others are kept for a minute."""
    reading._loaded.cache_clear()


PART = Part(
    goes=lambda user: [_("What is noted of your reading.")], stays=stays, erase=erase
)
