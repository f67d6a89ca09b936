"""People."""

from django.contrib.auth.models import AbstractUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _


class UserManager(BaseUserManager):
    """Makes people whose sign-in name is their e-mail address."""

    def _create(self, email, password, **fields):
        if not email:
            raise ValueError("A person needs an e-mail address.")
        user = self.model(email=self.normalize_email(email), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_user(self, email, password=None, **fields):
        return self._create(
            email, password, **{"is_staff": False, "is_superuser": False, **fields}
        )

    def create_superuser(self, email, password=None, **fields):
        return self._create(
            email, password, **{"is_staff": True, "is_superuser": True, **fields}
        )


class User(AbstractUser):
    """A person: signs in by e-mail, is shown by name."""

    class Theme(models.TextChoices):
        DEVICE = "", _("As the device is")
        LIGHT = "light", _("Light")
        DARK = "dark", _("Dark")

    username = None
    first_name = None
    last_name = None
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("e-mail address"), unique=True)
    # Signed in by name at a seminar: no address, no password, until they make an account of it.
    is_guest = models.BooleanField(default=False, editable=False)
    theme = models.CharField(_("look"), max_length=5, choices=Theme, blank=True)

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]
    objects = UserManager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("email"),
                name="accounts_user_email_once",
                violation_error_message=_(
                    "This e-mail address has an account already. Sign in instead."
                ),
            )
        ]

    def __str__(self):
        return self.name or self.email


def display_name(user: User) -> str:
    """How messages and mails address the person."""
    return str(user)
