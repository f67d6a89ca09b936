"""The organiser's forms. Times are typed and shown in the seminar's own time zone."""

from __future__ import annotations

import zoneinfo
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django import forms
from django.forms import formset_factory
from django.utils.translation import gettext_lazy as _

from trainer.accounts.forms import OneLineField
from trainer.accounts.models import User
from trainer.clubs.models import Club, Role
from trainer.seminars.models import Attendee, Presence, Seminar, Session
from trainer.seminars.models.seminars import check_time_zone
from trainer.study.models import Module

LONGEST = timedelta(days=14)
BLANK_PARTS = 3
MOST_PARTS = 40


class LocalTimeField(forms.DateTimeField):
    """A time as a clock on the wall says it; the form makes it one of the seminar's zone."""

    widget = forms.DateTimeInput(
        attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"
    )

    def to_python(self, value):
        found = super().to_python(value)
        return found.replace(tzinfo=None) if found else found

    def prepare_value(self, value):
        return value

    def clean(self, value):
        return self.to_python(value) if value else super().clean(value)


def as_local(moment: datetime | None, zone: ZoneInfo) -> datetime | None:
    """A moment as the wall clock of the zone says it, without a zone, for a form."""
    return moment.astimezone(zone).replace(tzinfo=None) if moment else None


def zones() -> list[str]:
    """Names to choose from: places, not the technical ones."""
    named = (one for one in zoneinfo.available_timezones() if "/" in one)
    return sorted(one for one in named if not one.startswith(("Etc/", "SystemV/")))


class SeminarForm(forms.ModelForm):
    starts_at = LocalTimeField(label=_("Begins"))
    ends_at = LocalTimeField(label=_("Ends"))
    time_zone = forms.CharField(
        label=_("Time zone"),
        max_length=60,
        validators=[check_time_zone],
        widget=forms.TextInput(attrs={"list": "zones", "autocomplete": "off"}),
        help_text=_(
            "Of the place, like Europe/Dublin: clocks that change are taken into account."
        ),
    )

    link = forms.URLField(
        label=_("Link to join online"),
        help_text=Seminar._meta.get_field("link").help_text,
        assume_scheme="https",
        required=False,
    )

    class Meta:
        model = Seminar
        fields = [
            "title",
            "about",
            "starts_at",
            "ends_at",
            "time_zone",
            "place",
            "is_online",
            "link",
            "capacity",
            "fee_note",
            "modules",
            "mentors",
            "guests",
            "remind_days",
            "months_kept",
            "certificate_words",
        ]
        field_classes = {"title": OneLineField}
        widgets = {
            "about": forms.Textarea(attrs={"rows": 5}),
            "certificate_words": forms.Textarea(attrs={"rows": 3}),
            "modules": forms.CheckboxSelectMultiple,
            "mentors": forms.CheckboxSelectMultiple,
        }

    def __init__(self, *args, club: Club, **kwargs):
        super().__init__(*args, **kwargs)
        self.club = club
        self.fields["modules"].queryset = Module.objects.filter(club=club).in_force()
        taught = club.memberships.filter(role=Role.MENTOR).values("user")
        self.fields["mentors"].queryset = User.objects.filter(pk__in=taught)
        if self.instance.pk:
            zone = self.instance.zone
            for name in ("starts_at", "ends_at"):
                self.initial[name] = as_local(getattr(self.instance, name), zone)

    def clean(self):
        """The two times in the zone; an end before the beginning is said at the end."""
        sent = super().clean()
        zone = sent.get("time_zone")
        begin, end = sent.get("starts_at"), sent.get("ends_at")
        if not (zone and begin and end):
            # Without a zone they are no moments yet.
            return {k: v for k, v in sent.items() if k not in ("starts_at", "ends_at")}
        sent["starts_at"], sent["ends_at"] = (
            one.replace(tzinfo=ZoneInfo(zone)) for one in (begin, end)
        )
        if sent["ends_at"] <= sent["starts_at"]:
            self.add_error("ends_at", _("A seminar ends after it begins."))
        elif sent["ends_at"] - sent["starts_at"] > LONGEST:
            self.add_error(
                "ends_at", _("That is longer than two weeks. Look at the dates.")
            )
        return sent

    def _post_clean(self):
        super()._post_clean()
        sent = self.cleaned_data
        is_somewhere = sent.get("is_online") or sent.get("place")
        if not is_somewhere and "place" not in self.errors:
            self.add_error("place", _("Say where it is held, or that it is online."))


class PartForm(forms.Form):
    """One part of the programme."""

    title = OneLineField(label=_("Part"), max_length=120, required=False)
    starts_at = LocalTimeField(label=_("Begins"), required=False)
    ends_at = LocalTimeField(label=_("Ends"), required=False)
    who = OneLineField(label=_("With"), max_length=120, required=False)

    def clean(self):
        sent = super().clean()
        if not any(sent.get(name) for name in ("title", "starts_at", "ends_at", "who")):
            return sent
        for name in ("title", "starts_at", "ends_at"):
            if not sent.get(name) and name not in self.errors:
                self.add_error(name, _("Fill this in, or clear the whole row."))
        begin, end = sent.get("starts_at"), sent.get("ends_at")
        if begin and end and end <= begin:
            self.add_error("ends_at", _("A part ends after it begins."))
        return sent

    @property
    def is_blank(self) -> bool:
        return not self.cleaned_data.get("title")

    def session(self, seminar: Seminar) -> Session:
        sent = self.cleaned_data
        begin, end = (
            sent[name].replace(tzinfo=seminar.zone) for name in ("starts_at", "ends_at")
        )
        return Session(
            seminar=seminar,
            title=sent["title"],
            starts_at=begin,
            ends_at=end,
            who=sent.get("who", ""),
        )


PartFormSet = formset_factory(
    PartForm, extra=BLANK_PARTS, max_num=MOST_PARTS, absolute_max=MOST_PARTS
)


def parts_of(seminar: Seminar) -> list[dict]:
    """The programme as the rows of a form."""
    return [
        {
            "title": one.title,
            "starts_at": as_local(one.starts_at, seminar.zone),
            "ends_at": as_local(one.ends_at, seminar.zone),
            "who": one.who,
        }
        for one in seminar.sessions.all()
    ]


class AttendeeForm(forms.ModelForm):
    """One more on the roster."""

    class Meta:
        model = Attendee
        fields = ["name", "email", "number"]
        field_classes = {"name": OneLineField, "number": OneLineField}


class StayForm(forms.Form):
    """Other times for a stay, with the reason."""

    in_at = LocalTimeField(label=_("In"))
    out_at = LocalTimeField(label=_("Out"), required=False)
    note = OneLineField(label=_("Why"), max_length=200)

    def __init__(self, *args, stay: Presence, **kwargs):
        self.zone = stay.attendee.seminar.zone
        initial = {
            "in_at": as_local(stay.in_at, self.zone),
            "out_at": as_local(stay.out_at, self.zone),
            "note": stay.note,
        }
        super().__init__(*args, initial=initial, **kwargs)

    def times(self) -> dict:
        return {
            name: one.replace(tzinfo=self.zone) if one else None
            for name in ("in_at", "out_at")
            for one in [self.cleaned_data[name]]
        }
