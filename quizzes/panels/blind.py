"""Keeping whoever keys a class for a panel from the pages that show another key to it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps

from django.contrib import messages
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from quizzes.models import PanelKey


def key_asked_for(exercise_id: int, user) -> PanelKey | None:
    """The key that an open panel asks of the person, who is then to see no other.

    Whoever opened the panel made the class, and can't be kept from its key.
    """
    asked = PanelKey.objects.asked_of(user).filter(panel__exercise=exercise_id)
    return asked.exclude(panel__opened_by=user).only("pk").first()


def unless_asked(view: Callable) -> Callable:
    """The view of a class; whoever an open panel asks for a key to it is led to their own."""

    @wraps(view)
    def led(request, pk):
        asked = key_asked_for(pk, request.user)
        if asked is None:
            return view(request, pk)
        text = _(
            "A panel asks you for a key to this class. Until the panel is closed you see "
            "no other key to it, nor pages that show one."
        )
        messages.info(request, text)
        return redirect(asked)

    return led
