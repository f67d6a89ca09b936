"""Drawings are made once and kept on disk, the newest ones only."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Sequence
from pathlib import Path

from django.conf import settings

DRAWN = 4
"""Raise it when drawing changes, so that no kept drawing of the old kind is shown."""

MOST = 12_000
"""Drawings kept at most, about 500 MB. Classes are made without end; one that is missing is drawn again."""

SWEPT_EVERY = 256


def kept(form: Sequence, draw: Callable[[], str]) -> bytes:
    """The SVG that `draw` makes, from disk if it was made before.

    form : everything the drawing depends on, as JSON can tell it
    """
    text = json.dumps([DRAWN, *form])
    name = hashlib.sha256(text.encode()).hexdigest()
    path = Path(settings.VAR_DIR) / "plates" / f"{name}.svg"
    try:
        return path.read_bytes()
    except FileNotFoundError:
        svg = draw().encode()
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_suffix(f".{os.getpid()}-{id(svg)}")
    fresh.write_bytes(svg)
    fresh.replace(path)
    if int(name[:8], 16) % SWEPT_EVERY == 0:
        sweep(path.parent)
    return svg


def sweep(folder: Path, most: int = MOST) -> int:
    """Remove the oldest drawings beyond the most that are kept; return how many."""
    files = sorted(
        (entry for entry in os.scandir(folder) if entry.name.endswith(".svg")),
        key=lambda entry: entry.stat().st_mtime,
    )
    old = files[: max(len(files) - most, 0)]
    for entry in old:
        Path(entry.path).unlink(missing_ok=True)
    return len(old)
