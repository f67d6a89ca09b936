"""Settings from environment variables, with refusals instead of guesses."""

import os

from django.core.exceptions import ImproperlyConfigured


def env_bool(name: str, default: bool = False) -> bool:
    """The variable as a switch: 1 or 0; anything else is refused."""
    value = os.environ.get(name, "")
    if value not in ("", "0", "1"):
        raise ImproperlyConfigured(f"{name} must be 0 or 1, not {value!r}.")
    return value == "1" if value else default


def env_int(name: str, default: int) -> int:
    """The variable as a whole number; anything else is refused."""
    value = os.environ.get(name, "")
    try:
        return int(value) if value else default
    except ValueError:
        raise ImproperlyConfigured(
            f"{name} must be a whole number, not {value!r}."
        ) from None


def env_list(name: str, default: str = "") -> list[str]:
    """The variable split at commas, without blanks."""
    return [
        item.strip()
        for item in os.environ.get(name, default).split(",")
        if item.strip()
    ]


def env_secret(name: str, *, stand_in: str | None) -> str:
    """The secret, or the stand-in where one is allowed; too short or missing is refused."""
    value = os.environ.get(name, "")
    if not value and stand_in is not None:
        return stand_in
    if len(value) < 50 or value.startswith("django-insecure"):
        raise ImproperlyConfigured(
            f"Set {name} to a random string of at least 50 characters, for example the output of "
            "python -c 'import secrets; print(secrets.token_urlsafe(48))'."
        )
    return value


def env_site(name: str, origins: list[str], hosts: list[str], *, https: bool) -> str:
    """The address of the site without a slash at its end; without the variable the first origin or host there is."""
    value = os.environ.get(name, "").rstrip("/")
    if not value:
        by_host = f"https://{hosts[0]}" if https and hosts else "http://localhost:8000"
        return origins[0].rstrip("/") if origins else by_host
    if not value.startswith(("https://", "http://")):
        raise ImproperlyConfigured(
            f"{name} must begin with https:// or http://, not {value!r}."
        )
    return value
