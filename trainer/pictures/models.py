"""Photographs of dogs: whose they are, who agreed, and who may see them."""

import secrets
import uuid
from functools import reduce
from operator import or_

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from trainer.clubs.models import Club
from trainer.pictures import rights

CONSENT = _(
    "I have the right to use this photograph here; the owner of the dog agrees, and so do "
    "people who can be recognised"
)


class Licence(models.TextChoices):
    """SPDX identifiers; `LicenseRef-` marks those that are no public licence."""

    PERMISSION = "LicenseRef-permission", _("used here by permission")
    CC0 = "CC0-1.0", "CC0 1.0"
    BY = "CC-BY-4.0", "CC BY 4.0"
    BY_SA = "CC-BY-SA-4.0", "CC BY-SA 4.0"
    BY_NC = "CC-BY-NC-4.0", "CC BY-NC 4.0"
    BY_ND = "CC-BY-ND-4.0", "CC BY-ND 4.0"
    BY_NC_SA = "CC-BY-NC-SA-4.0", "CC BY-NC-SA 4.0"
    BY_NC_ND = "CC-BY-NC-ND-4.0", "CC BY-NC-ND 4.0"


class Made(models.TextChoices):
    """How a picture came about. A retouched or made one says nothing about how a dog is built."""

    CAMERA = rights.CAMERA, _("taken with a camera")
    RETOUCHED = rights.RETOUCHED, _("retouched or put together")
    MACHINE = rights.MACHINE, _("made by a program")


NO_CHANGED_COPIES = frozenset({Licence.BY_ND, Licence.BY_NC_ND})


class PictureQuerySet(models.QuerySet):
    def in_use(self):
        """Pictures that were not withdrawn."""
        return self.filter(withdrawn_at__isnull=True)

    def cleared(self):
        """Pictures in use whose right and consent are on record and hold today."""
        agreed = self.in_use().filter(consent_at__isnull=False).exclude(licence="")
        return agreed.exclude(consent_until__lt=timezone.localdate())

    def visible_to(self, user):
        """Cleared pictures of the person's clubs, and the person's own; none withdrawn."""
        if not user.is_authenticated:
            return self.none()
        shared = self.cleared().filter(club__in=Club.objects.joined_by(user))
        return shared | self.in_use().filter(uploaded_by=user)

    def editable_by(self, user):
        """Of the pictures the person sees, the own ones and those of clubs taught in."""
        if not user.is_authenticated:
            return self.none()
        taught = Q(club__in=Club.objects.taught_by(user))
        return self.visible_to(user).filter(Q(uploaded_by=user) | taught)

    def needing_consent(self):
        """Pictures in use that lack right or consent, or whose consent is over."""
        over = Q(consent_until__lt=timezone.localdate())
        return self.in_use().filter(Q(consent_at__isnull=True) | Q(licence="") | over)

    def saying(self, words: str):
        """Pictures whose title, description, credit or rights holder has the words in it."""
        places = ("title", "alt", "credit", "rights_holder")
        anywhere = [Q(**{f"{place}__icontains": words}) for place in places]
        return self.filter(reduce(or_, anywhere)) if words else self

    def shown_in(self, club, ids):
        """Cleared pictures of the club among those ids, as the text of each id."""
        found = self.cleared().filter(club=club, public_id__in=ids)
        return {str(shown) for shown in found.values_list("public_id", flat=True)}


def generated_name(picture, sent_name) -> str:
    """A name for a file that says nothing: neither what it shows nor its address."""
    return f"pictures/{secrets.token_hex(16)}.jpg"


class Picture(models.Model):
    """One photograph in several sizes. Withdrawing it erases the files and keeps the record.

    edition : raised whenever the files are replaced
    said : what the file as sent said of whose it is (trainer.pictures.rights.Rights)
    landmarks : {"facing", "points": {name: [x, y] in per cent from the left and from the top}}
    for_print : empty where `large` has all the pixels there are
    """

    public_id = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    club = models.ForeignKey(Club, on_delete=models.PROTECT, related_name="pictures")
    uploaded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    uploaded_at = models.DateTimeField()
    large = models.FileField(upload_to=generated_name, blank=True, editable=False)
    small = models.FileField(upload_to=generated_name, blank=True, editable=False)
    for_print = models.FileField(upload_to=generated_name, blank=True, editable=False)
    edition = models.PositiveIntegerField(default=1, editable=False)
    width = models.PositiveSmallIntegerField(editable=False)
    height = models.PositiveSmallIntegerField(editable=False)
    bytes = models.PositiveIntegerField(_("bytes of all sizes"), editable=False)
    sha256 = models.CharField(
        _("SHA-256 of the file as sent"), max_length=64, editable=False
    )
    title = models.CharField(_("title"), max_length=120, blank=True)
    alt = models.CharField(_("what it shows, in words"), max_length=400, blank=True)
    landmarks = models.JSONField(default=dict, blank=True, editable=False)
    said = models.JSONField(default=dict, blank=True, editable=False)
    made = models.CharField(
        _("how it came about"), max_length=10, choices=Made, blank=True, default=""
    )
    credit = models.CharField(_("credit"), max_length=120, blank=True)
    rights_holder = models.CharField(_("rights holder"), max_length=120, blank=True)
    licence = models.CharField(
        _("licence"), max_length=30, choices=Licence, blank=True, default=""
    )
    consent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    consent_at = models.DateTimeField(null=True, editable=False)
    consent_words = models.CharField(max_length=300, blank=True, editable=False)
    consent_until = models.DateField(_("agreed until"), null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, editable=False)

    objects = PictureQuerySet.as_manager()

    class Meta:
        ordering = ["-uploaded_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, bytes__gt=0)
                & ~Q(large="")
                & ~Q(small="")
                | Q(
                    withdrawn_at__isnull=False,
                    bytes=0,
                    large="",
                    small="",
                    for_print="",
                ),
                name="pictures_picture_files_until_withdrawn",
            ),
            models.CheckConstraint(
                condition=Q(consent_at__isnull=False) & ~Q(consent_words="")
                | Q(consent_at__isnull=True, consent_by__isnull=True, consent_words=""),
                name="pictures_picture_consent_whole",
            ),
            models.CheckConstraint(
                condition=Q(width__gt=0, height__gt=0),
                name="pictures_picture_has_a_size",
            ),
            models.CheckConstraint(
                condition=Q(sha256__regex=r"^[0-9a-f]{64}$"),
                name="pictures_picture_sha256_whole",
            ),
            models.CheckConstraint(
                condition=Q(licence__in=["", *Licence.values]),
                name="pictures_picture_licence_known",
            ),
            models.CheckConstraint(
                condition=Q(made__in=["", *Made.values]),
                name="pictures_picture_made_known",
            ),
        ]

    def __str__(self):
        return str(self.public_id)

    def get_absolute_url(self):
        return reverse("pictures:picture-file", args=[self.public_id, "large"])

    @property
    def is_cleared(self) -> bool:
        agreed = self.consent_at is not None and not self.consent_is_over
        return agreed and self.licence != ""

    @property
    def consent_is_over(self) -> bool:
        """Whether it was given up to a day that has passed."""
        until = self.consent_until
        return until is not None and until < timezone.localdate()

    def address(self, size: str) -> str:
        """Where a size is shown; another edition has another address, which no cache has kept."""
        path = reverse("pictures:picture-file", args=[self.public_id, size])
        return f"{path}?v={self.edition}"

    @property
    def addresses(self) -> dict[str, str]:
        """By size."""
        return {size: self.address(size) for size in ("small", "large", "print")}

    @property
    def name(self) -> str:
        """The title, or words that stand for it."""
        return self.title or gettext("Untitled photograph")

    @property
    def files(self) -> list:
        """Every file of the picture there is."""
        return [file for file in (self.large, self.small, self.for_print) if file]

    @property
    def largest(self):
        """The file with the most pixels."""
        return self.for_print or self.large

    @property
    def may_be_changed(self) -> bool:
        """False where the licence forbids changed copies."""
        return self.licence not in NO_CHANGED_COPIES
