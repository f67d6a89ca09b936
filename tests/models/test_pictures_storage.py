"""Photographs in S3-compatible storage, by the one setting that puts them there."""

import os
import subprocess
import sys

import pytest
from django.utils import timezone

from tests.models.test_pictures import keep, sent
from tests.on_s3 import client, storage
from trainer.pictures import services

SHOW = "from django.conf import settings as s; print(s.STORAGES['default'])"


@pytest.fixture
def bucket(settings):
    """The names of what a fresh bucket holds; photographs go there meanwhile."""
    with storage() as given:
        settings.STORAGES = {
            **settings.STORAGES,
            "default": {
                "BACKEND": "storages.backends.s3.S3Storage",
                "OPTIONS": {
                    "bucket_name": given["TRAINER_S3_BUCKET"],
                    "endpoint_url": given["TRAINER_S3_ENDPOINT"],
                    "region_name": given["TRAINER_S3_REGION"],
                    "access_key": given["TRAINER_S3_KEY"],
                    "secret_key": given["TRAINER_S3_SECRET"],
                },
            },
        }
        name = {"Bucket": given["TRAINER_S3_BUCKET"]}
        found = client(given)
        yield lambda: {
            one["Key"] for one in found.list_objects_v2(**name).get("Contents", [])
        }


def test_files_live_and_end_in_the_bucket(
    bucket, club, alice, as_bob, django_capture_on_commit_callbacks
):
    (picture,) = keep(club, alice, sent())
    assert bucket() == {file.name for file in picture.files}
    answered = as_bob.get(picture.address("small"))
    with picture.small.open("rb") as file:
        assert answered.getvalue() == file.read()
    with django_capture_on_commit_callbacks(execute=True):
        services.withdraw(picture, now=timezone.now())
    assert bucket() == set()


def test_picture_whose_file_is_gone_is_404(bucket, club, alice, as_bob):
    (picture,) = keep(club, alice, sent())
    picture.small.storage.delete(picture.small.name)
    assert as_bob.get(picture.address("small")).status_code == 404


def configured(**more):
    """How the site's own settings say files are stored, in that environment."""
    environment = {
        **{k: v for k, v in os.environ.items() if not k.startswith("TRAINER_S3")},
        "DJANGO_SETTINGS_MODULE": "trainer.settings",
        **more,
    }
    shown = [sys.executable, "-c", SHOW]
    return subprocess.run(
        shown, env=environment, capture_output=True, text=True, check=True
    ).stdout


def test_one_setting_moves_photographs_there():
    assert "FileSystemStorage" in configured()
    stored = configured(TRAINER_S3_BUCKET="dogs", TRAINER_S3_KEY="k")
    assert "S3Storage" in stored
    assert "'bucket_name': 'dogs'" in stored
    assert "'default_acl': 'private'" in stored
