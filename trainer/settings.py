"""Settings: safe as they stand, opened by environment variables (DEVELOPERS.md lists them)."""

import os
from pathlib import Path

import dj_database_url
from csp.constants import NONE, SELF

from trainer.env import env_bool, env_int, env_list, env_secret, env_site

BASE_DIR = Path(__file__).resolve().parent.parent
VAR_DIR = Path(os.environ.get("TRAINER_VAR_DIR", BASE_DIR / "var"))
VAR_DIR.mkdir(parents=True, exist_ok=True)

DEBUG = env_bool("TRAINER_DEBUG")
SECRET_KEY = env_secret("TRAINER_SECRET_KEY", stand_in="debug-only" if DEBUG else None)
ALLOWED_HOSTS = env_list("TRAINER_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = env_list("TRAINER_ORIGINS")
# Served over plain HTTP on one machine (the demo); anything else is behind TLS.
HTTPS = not (DEBUG or env_bool("TRAINER_PLAIN_HTTP"))
# What links begin with in mails that go out by themselves; a page knows the address it was asked for at.
SITE = env_site("TRAINER_SITE", CSRF_TRUSTED_ORIGINS, ALLOWED_HOSTS, https=HTTPS)

INSTALLED_APPS = [
    "trainer.accounts",
    "trainer.clubs",
    "trainer.pictures",
    "trainer.study",
    "quizzes",
    "trainer.seminars",
    "trainer.apps.AdminSiteConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.humanize",
    "django.contrib.messages",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "django.forms",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "csp",
    "django_htmx",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "trainer.middleware.SessionLimits",
    "trainer.middleware.RolesOnce",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "trainer.seminars.guests.GuestsStayInTheRoom",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "trainer.middleware.HtmxResponses",
    "trainer.middleware.PrivatePages",
    "trainer.middleware.BodyLimit",
]

ROOT_URLCONF = "trainer.urls"
WSGI_APPLICATION = "trainer.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": ["trainer.components"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "trainer.navigation.navigation",
            ],
        },
    }
]
FORM_RENDERER = "trainer.forms.Renderer"

# Immediate transactions and WAL together: WAL alone lets a transaction that has read fail to upgrade.
SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 10,
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA cache_size=-20000;",
}
DATABASE_URL = os.environ.get("DATABASE_URL", "")
if DATABASE_URL:
    DATABASES = {
        "default": dj_database_url.parse(DATABASE_URL, conn_health_checks=True)
    }
    DATABASES["default"]["OPTIONS"] = {
        **DATABASES["default"].get("OPTIONS", {}),
        "pool": {
            "min_size": 2,
            "max_size": env_int("TRAINER_POOL_SIZE", 8),
            "timeout": 10,
        },
    }
else:
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": VAR_DIR / "placing-room.sqlite3",
            "CONN_MAX_AGE": None,
            "OPTIONS": SQLITE_OPTIONS,
        }
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Rate limits count in the cache, so it must be shared by all processes: a table by default.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "cache_entries",
        # By itself it keeps 300 and drops counts that still hold, which one hall of phones would reach.
        "OPTIONS": {"MAX_ENTRIES": 20_000},
    },
    # Parts of pages that are the same for minutes, kept by each process for itself.
    "rendered": {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "LOCATION": "rendered",
    },
}

AUTH_USER_MODEL = "accounts.User"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ["email", "name"]},
    },
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 8},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "home"
ACCOUNT_ADAPTER = "trainer.accounts.adapter.AccountAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*"]
ACCOUNT_SIGNUP_FORM_CLASS = "trainer.accounts.forms.SignupDetails"
ACCOUNT_FORMS = {
    "login": "trainer.accounts.library_forms.Login",
    "signup": "trainer.accounts.library_forms.SignUp",
    "add_email": "trainer.accounts.library_forms.AddAddress",
    "change_email": "trainer.accounts.library_forms.ChangeAddress",
    "change_password": "trainer.accounts.library_forms.ChangePassword",
    "set_password": "trainer.accounts.library_forms.SetPassword",
    "reset_password": "trainer.accounts.library_forms.ResetPassword",
    "reset_password_from_key": "trainer.accounts.library_forms.ResetPasswordFromKey",
}
ACCOUNT_EMAIL_VERIFICATION = "mandatory"
ACCOUNT_EMAIL_VERIFICATION_BY_CODE_ENABLED = True
ACCOUNT_EMAIL_VERIFICATION_SUPPORTS_RESEND = True
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = "Placing Room: "
# A mail goes out when password, address or second step were changed.
ACCOUNT_EMAIL_NOTIFICATIONS = True
ACCOUNT_CHANGE_EMAIL = True
ACCOUNT_LOGOUT_ON_PASSWORD_CHANGE = False
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_USER_DISPLAY = "trainer.accounts.models.display_name"
# How often, beside the library's own limits. A hall full of people shares one address, so
# sign-ins that succeed are hardly limited by it; "key" is an account seen from one address.
ACCOUNT_RATE_LIMITS = {
    "login": "300/m/ip",
    "login_failed": "20/m/ip,5/5m/key",
    "signup": "60/m/ip",
    "found_club": "5/h/user",
    "another_class": "60/h/user",
    "enrol": "30/h/user",
    "bundle": "60/h/user",
    "invite": "30/h/user",
    "take_away": "60/h/user",
}
PASSWORD_RESET_TIMEOUT = 3600
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_TOTP_ISSUER = "Placing Room"
# Chromium and Firefox accept passkeys without TLS on localhost only.
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = not HTTPS
ALLAUTH_TRUSTED_PROXY_COUNT = env_int("TRAINER_PROXIES", 0)

EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"
if os.environ.get("TRAINER_EMAIL_HOST"):
    EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    EMAIL_HOST = os.environ["TRAINER_EMAIL_HOST"]
    EMAIL_PORT = env_int("TRAINER_EMAIL_PORT", 587)
    EMAIL_HOST_USER = os.environ.get("TRAINER_EMAIL_USER", "")
    EMAIL_HOST_PASSWORD = os.environ.get("TRAINER_EMAIL_PASSWORD", "")
    EMAIL_USE_TLS = env_bool("TRAINER_EMAIL_TLS", True)
DEFAULT_FROM_EMAIL = os.environ.get(
    "TRAINER_EMAIL_FROM", "Placing Room <noreply@localhost>"
)

LANGUAGE_CODE = "en"
TIME_ZONE = os.environ.get("TRAINER_TIME_ZONE", "UTC")
USE_I18N = True
USE_TZ = True
LOCALE_PATHS = [BASE_DIR / "locale"]
FORMAT_MODULE_PATH = ["trainer.formats"]

STATIC_URL = "/static/"
STATIC_ROOT = VAR_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "trainer.staticfiles.ModuleStorage"
    },
}

# Photographs. Nothing serves this folder: they are sent by trainer.pictures.views, which asks who may see them.
MEDIA_ROOT = VAR_DIR / "media"
if os.environ.get("TRAINER_S3_BUCKET"):
    STORAGES["default"] = {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": {
            "bucket_name": os.environ["TRAINER_S3_BUCKET"],
            "endpoint_url": os.environ.get("TRAINER_S3_ENDPOINT") or None,
            "region_name": os.environ.get("TRAINER_S3_REGION") or None,
            "access_key": os.environ.get("TRAINER_S3_KEY") or None,
            "secret_key": os.environ.get("TRAINER_S3_SECRET") or None,
            # Nobody is sent to the bucket; its files are read by the views alone.
            "default_acl": "private",
            "file_overwrite": False,
        },
    }
PICTURES_PER_CLUB = env_int("TRAINER_PICTURES_PER_CLUB", 500)
PICTURE_BYTES_PER_CLUB = env_int("TRAINER_PICTURE_MB_PER_CLUB", 500) * 1024 * 1024

SESSION_COOKIE_AGE = 14 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if HTTPS:
    SECURE_SSL_REDIRECT = SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-session", "__Host-csrf"
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = True
    if ALLAUTH_TRUSTED_PROXY_COUNT:
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
    }
}

# Seconds without a request, and in all, after which a session ends (trainer.middleware.SessionLimits).
SESSION_IDLE_SECONDS = 7 * 24 * 3600
SESSION_TOTAL_SECONDS = SESSION_COOKIE_AGE
# A request body larger than this is refused before it is read (trainer.middleware.BodyLimit).
REQUEST_BODY_LIMIT = 8 * 1024 * 1024
# A module with its photographs is larger; only a mentor's page takes it (quizzes.bundles).
LARGER_BODIES = {"/workshop/modules/bundles/": 65 * 1024 * 1024}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {
            "()": "trainer.logs.OneLineFormatter",
            "format": "{asctime} {levelname} {name} {message}",
            "style": "{",
        }
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "INFO"},
    "loggers": {
        "django": {"handlers": [], "propagate": True},
        # Names each passkey that is used.
        "fido2": {"level": "WARNING"},
    },
}
