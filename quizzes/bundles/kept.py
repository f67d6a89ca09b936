"""A bundle that was sent, kept between what it would make and making it.

It lies in the storage under a name of ours that nobody can guess, belongs to the session that sent it,
and goes after an hour or once it was taken in. Nothing serves it.
"""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta
from typing import BinaryIO

from django.core.files.base import File
from django.core.files.storage import default_storage

FOLDER = "bundles"
KEPT_FOR = timedelta(hours=1)
MOST_KEPT = 3
"""At once for one session; the oldest goes first."""
IN_SESSION = "bundles"


def keep(session, file: BinaryIO, club, *, now: datetime) -> str:
    """Keep the file for that club and return the key to it."""
    sweep(now=now)
    key = secrets.token_hex(16)
    file.seek(0)
    default_storage.save(_path(key), File(file))
    waiting = {**session.get(IN_SESSION, {}), key: club.pk}
    for old in list(waiting)[:-MOST_KEPT]:
        default_storage.delete(_path(old))
        del waiting[old]
    session[IN_SESSION] = waiting
    return key


def club_of(session, key: str) -> int | None:
    """Id of the club the file was sent for; None if this session has no such file any more."""
    club = session.get(IN_SESSION, {}).get(key)
    return club if club and default_storage.exists(_path(key)) else None


def opened(key: str) -> BinaryIO:
    return default_storage.open(_path(key), "rb")


def forget(session, key: str) -> None:
    waiting = dict(session.get(IN_SESSION, {}))
    if waiting.pop(key, None):
        default_storage.delete(_path(key))
    session[IN_SESSION] = waiting


def sweep(*, now: datetime) -> None:
    """Remove what was kept for longer than an hour, whosever it was."""
    if not default_storage.exists(FOLDER):
        return
    for name in default_storage.listdir(FOLDER)[1]:
        path = f"{FOLDER}/{name}"
        if default_storage.get_modified_time(path) < now - KEPT_FOR:
            default_storage.delete(path)


def _path(key: str) -> str:
    return f"{FOLDER}/{key}.zip"
