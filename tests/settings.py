"""Settings for the tests: quick hashing, mail in a list, everything else as the site runs."""

import os
import tempfile

os.environ.setdefault("TRAINER_DEBUG", "0")
SCRATCH = tempfile.TemporaryDirectory(prefix="placing-room-tests-")
os.environ.setdefault("TRAINER_VAR_DIR", SCRATCH.name)
os.environ.setdefault("TRAINER_PLAIN_HTTP", "1")
os.environ.setdefault("TRAINER_SECRET_KEY", "only-for-tests-" + "x" * 40)

from trainer.settings import *  # noqa: E402, F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
CACHES["default"] = {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}  # noqa: F405
STORAGES = {
    **STORAGES,  # noqa: F405
    # Memory, unless the tests run on S3 storage (tests/on_s3.py).
    "default": STORAGES["default"]  # noqa: F405
    if os.environ.get("TRAINER_S3_BUCKET")
    else {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
# A pool keeps connections open, and a database in use can't be dropped after the tests.
DATABASES["default"].get("OPTIONS", {}).pop("pool", None)  # noqa: F405
STATIC_ROOT.mkdir(exist_ok=True)  # noqa: F405
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):  # noqa: F405
    # A file, not memory: tests with several threads need a connection for each.
    DATABASES["default"]["TEST"] = {"NAME": VAR_DIR / "tests.sqlite3"}  # noqa: F405
