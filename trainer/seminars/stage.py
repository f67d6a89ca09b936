"""The stage: the projector's page. It never shows a person's name, and no figures of fewer than five."""

from __future__ import annotations

from dataclasses import dataclass

import segno
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from quizzes.grading.change import FEWEST
from quizzes.kinds.placing.places import ordinal
from trainer.http import wants_fragment
from trainer.seminars import asking, sittings
from trainer.seminars.models import Presence, Seminar, Sitting
from trainer.seminars.pictures import PROJECTOR
from trainer.seminars.stage_pages import page_at

EVERY = 2
MOST_ASKED = 4
"""So many questions of a sheet can be read on the stage at once; of more there are pictures alone."""
MOST_PICTURES = 12


@dataclass(frozen=True)
class Room:
    """How many are there and where the room stands; two queries, however many there are."""

    present: int
    sitting: Sitting | None

    @property
    def token(self) -> str:
        one = self.sitting
        if one is None:
            return f"0.{self.present}"
        return f"{one.pk}.{one.version}.{one.handed_in}.{self.present}.{one.page}"


def room_now(seminar_id: int, now) -> Room:
    present = Presence.objects.filter(attendee__seminar=seminar_id).running().count()
    found = sittings.current_in(seminar_id).select_related("revision__exercise")
    sitting = found.defer("revision__key").first()
    if sitting is not None:
        sitting = sittings.close_when_over(sitting, now=now)
    return Room(present, sitting)


@require_safe
def stage(request, pk):
    """What the hall sees."""
    now = timezone.now()
    led = Seminar.objects.led_by(request.user).select_related("club")
    seminar = get_object_or_404(led, pk=pk)
    at = room_now(pk, now)
    fragment = wants_fragment(request)
    if fragment and request.GET.get("v") == at.token:
        return HttpResponse(status=204)
    context = stage_context(seminar, at, now)
    address = reverse("seminars:join-code", args=[seminar.join_code])
    context["qr"] = qr(request.build_absolute_uri(address))
    context["address"] = request.get_host() + reverse("seminars:join")
    # A projector is read best dark on light, unless somebody chose otherwise.
    context["theme"] = request.user.theme or "light"
    template = "seminars/_stage.html" if fragment else "seminars/stage.html"
    return render(request, template, context)


def stage_context(seminar: Seminar, at: Room, now) -> dict:
    sitting = at.sitting
    context = {
        "seminar": seminar,
        "present": at.present,
        "sitting": sitting,
        "token": at.token,
        "every": EVERY,
    }
    if sitting is None:
        return context
    context["left"] = sitting.seconds_left(now)
    if sitting.is_shown:
        told = result_told(sitting)
        return {**context, "result": told, "at": page_at(sitting, told)}
    room = asking.room_of(sitting.revision)
    shown = room.on_stage(asking.addresses(sitting, size=PROJECTOR))
    asked = shown.get("asked", [])
    if len(asked) > MOST_ASKED:
        pictured = all(one["picture"] for one in asked) and len(asked) <= MOST_PICTURES
        context["is_dense"] = True
        shown = {"asked": asked if pictured else []}
    context["is_placing"] = asking.is_placing(sitting.revision)
    return {**context, **shown}


def result_told(sitting: Sitting) -> dict:
    """The stored sums in the form that pages show; nothing is counted here."""
    stored = sitting.result or {}
    told = {**stored, "too_few": stored.get("counted", 0) < FEWEST}
    if stored.get("share") is not None:
        told["percent"] = round(100 * stored["share"])
    if stored.get("kind") == "placing":
        share = stored["share"]
        told["mean"] = None if share is None else share * stored["separated"]
        told["grid"] = _grid(stored)
        told["majority"] = sum(2 * one["agreed"] > one["of"] for one in stored["pairs"])
        told["has_rulings"] = any(row["ruled"] for row in stored["rows"])
    change = stored.get("change")
    if change:
        told["change"] = {**change, **_in_pairs(change, stored.get("separated"))}
    return told


def _grid(stored) -> list[dict]:
    """Places down, dogs across in the key's order: how many put which dog where."""
    return [
        {
            "place": ordinal(place),
            "cells": [
                {"count": row["counts"][place - 1], "is_key": place in row["key"]}
                for row in stored["rows"]
            ],
        }
        for place in range(1, stored["places"] + 1)
    ]


def _in_pairs(change, separated) -> dict:
    """The change as pairs of the class, where it has pairs; else as hundredths."""
    scale = separated or 100
    return {
        f"{name}_said": None if change[name] is None else change[name] * scale
        for name in ("before", "after", "mean", "low", "high")
    } | {"unit": _("pairs") if separated else _("hundredths of what was asked")}


def qr(address: str):
    """The address as a QR code, drawn in the page."""
    made = segno.make(address, error="m", micro=False)
    return mark_safe(
        made.svg_inline(
            border=2,
            omitsize=True,
            svgclass="qr",
            lineclass="qr-line",
            light="#fff",
            dark="#000",
        )
    )
