"""People: made by e-mail address, shown by name."""

import pytest
from django.db import IntegrityError

from tests.factories import UserFactory
from trainer.accounts.models import User, display_name


def test_person_signs_in_by_address_and_is_shown_by_name(db):
    user = User.objects.create_user("Ann@EXAMPLE.org", "a long pass phrase", name="Ann")
    assert user.get_username() == "Ann@example.org"
    assert display_name(user) == "Ann"
    assert user.check_password("a long pass phrase")
    assert not user.is_staff


def test_without_a_name_the_address_stands_in(db):
    assert str(UserFactory(name="", email="ann@example.org")) == "ann@example.org"


def test_superuser_is_staff(db):
    assert User.objects.create_superuser("root@example.org", "x", name="Root").is_staff


def test_a_person_needs_an_address(db):
    with pytest.raises(ValueError, match="e-mail"):
        User.objects.create_user("", "a long pass phrase")


def test_address_is_taken_in_whatever_letters(db):
    UserFactory(email="ann@example.org")
    with pytest.raises(IntegrityError):
        UserFactory(email="ANN@example.org")
