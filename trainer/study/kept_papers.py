"""PDFs are set once and kept on disk, the newest ones only.

A file is named after everything that is in it, so whatever changes is set anew: a revision, a name, the language,
a photograph that was withdrawn, the template itself.
"""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

from django.conf import settings

from trainer.study.printing import Paper
from trainer.typeset import HOUSE, typeset

TEMPLATES = Path(__file__).parent / "print"
MOST = 300


def typeset_once(name: str, paper: Paper) -> bytes:
    """The PDF of a paper under one of our templates. Raises NotTypeset."""
    template = TEMPLATES / f"{name}.typ"
    folder = Path(settings.VAR_DIR) / "papers"
    path = folder / f"{_digest(template, paper)}.pdf"
    try:
        return path.read_bytes()
    except FileNotFoundError:
        content = typeset(template, paper.data, paper.pictures)
    folder.mkdir(parents=True, exist_ok=True)
    fresh = path.with_suffix(f".{os.getpid()}-{id(content)}")
    fresh.write_bytes(content)
    fresh.replace(path)
    _sweep(folder)
    return content


def _digest(template: Path, paper: Paper) -> str:
    digest = hashlib.sha256()
    for file in (HOUSE / "house.typ", *sorted(TEMPLATES.glob("*.typ"))):
        digest.update(file.read_bytes())
    digest.update(template.name.encode())
    digest.update(json.dumps(paper.data, sort_keys=True).encode())
    for name, content in sorted(paper.pictures.items()):
        digest.update(name.encode() + hashlib.sha256(content).digest())
    return digest.hexdigest()


def _sweep(folder: Path, most: int = MOST) -> None:
    files = [entry for entry in os.scandir(folder) if entry.name.endswith(".pdf")]
    for entry in sorted(files, key=lambda one: one.stat().st_mtime)[:-most]:
        Path(entry.path).unlink(missing_ok=True)
