"""Guests: where they may go, and how a visit becomes an account."""

from __future__ import annotations

import logging

from allauth.account.models import EmailAddress
from allauth.account.signals import email_confirmed
from allauth.account.utils import setup_user_email
from django.dispatch import receiver
from django.shortcuts import redirect
from django.utils import timezone

from trainer.accounts.library_forms import SignUp
from trainer.accounts.models import User
from trainer.seminars import results

log = logging.getLogger("trainer.access")

OPEN_TO_GUESTS = {
    "seminars": {
        "as-guest",
        "guest-erase",
        "room",
        "hand-in",
        "check-out",
        "plate",
        "photograph",
        "join",
        "join-code",
        "personal",
        "give-up",
        "invited",
        "withdraw",
        "seminar-detail",
        "calendar",
        "feedback",
        "practice",
        "certificate-check",
        "my-certificate",
    },
    "accounts": {"theme", "deleted"},
    "": {"health", "service-worker", "offline", "account_logout"},
}


class GuestsStayInTheRoom:
    """Somebody who signed in with a name alone reaches the room and nothing else that asks for an account."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        if not (request.user.is_authenticated and request.user.is_guest):
            return None
        match = request.resolver_match
        if match.url_name in OPEN_TO_GUESTS.get(match.namespace, ()):
            return None
        return redirect("seminars:as-guest")


class GuestSignUp(SignUp):
    """Name, address and password by the library's rules, for a person who is known already."""

    def __init__(self, *args, guest: User, **kwargs):
        self.guest = guest
        super().__init__(*args, initial={"name": guest.name}, **kwargs)

    def save(self, request):
        """The same person, with address and password. A guest as long as the address is not confirmed."""
        data, guest = self.cleaned_data, self.guest
        EmailAddress.objects.filter(user=guest).delete()
        guest.name, guest.email = data["name"], data["email"]
        guest.set_password(data["password1"])
        guest.save(update_fields=["name", "email", "password"])
        setup_user_email(request, guest, [EmailAddress(email=guest.email)])
        return guest


@receiver(email_confirmed)
def make_account(request, email_address, **kwargs):
    """Whose address is confirmed is a guest no more; what they answered as one is in their record."""
    person = email_address.user
    if not person.is_guest:
        return
    person.is_guest = False
    person.save(update_fields=["is_guest"])
    person.attended.update(name=person.name)
    for place in person.attended.filter(email="").select_related("seminar"):
        others = place.seminar.attendees.filter(email__iexact=person.email)
        if not others.exists():
            place.email = person.email
            place.save(update_fields=["email"])
    results.keep_for(person, now=timezone.now())
    log.info("guest became an account: person %s", person.pk)
