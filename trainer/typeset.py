"""PDFs from a typst template of the house and plain data: tagged, for readers of every kind (PDF/UA-1).

A template finds its data as `json("/data.json")`, its pictures as `image("/pictures/NAME")` and what all
printed papers share as `/house.typ` and `/marks/` (trainer/print/). Data never becomes markup. Typesetting runs in a process of
its own that sees one temporary folder, with limits on its time and memory, so that no text, however long
or hostile, stops the site.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
import unicodedata
from collections.abc import Callable, Mapping
from pathlib import Path
from shutil import copy, copytree
from typing import Any

HOUSE = Path(__file__).parent / "print"
SECONDS = 30
MEMORY = 2 * 1024**3
LONGEST_DATA = 8 * 1024**2
MOST_PICTURES = 200
LARGEST_PICTURES = 128 * 1024**2
STAND_IN = "\u25a1"
TRIES = 3
"""How often letters are replaced that no typeface has; typst names the missing ones of a document at once."""

_PICTURE = re.compile(r"[\w-]{1,80}\.(svg|png|jpg)", re.ASCII)
_UNSHOWN = re.compile(r'the text `"((?:[^"\\]|\\.)+)"` could not be displayed')
_ESCAPED = re.compile(r"\\u\{([0-9a-f]+)\}")


class NotTypeset(Exception):
    """Why there is no PDF: for whoever looks after the site, not for its readers."""


def typeset(
    template: Path, data: Mapping, pictures: Mapping[str, bytes] | None = None
) -> bytes:
    """The PDF of a template with this data.

    data : what JSON can hold. The template gets it with `unshown` beside it: whether letters
        that no typeface here has were replaced by a box, which it should say.
    pictures : files by name, which ends in .svg, .png or .jpg

    Raises NotTypeset if a limit is reached or the template refuses the data.
    """
    with tempfile.TemporaryDirectory(prefix="typeset-") as folder:
        root = Path(folder)
        _lay_out(root, template, pictures or {})
        shown, unshown = _without_controls(data), False
        for _attempt in range(TRIES):
            _write(root, {**shown, "unshown": unshown})
            found = _run(root / template.name)
            missing = _missing(found.stderr)
            if found.returncode == 0:
                return found.stdout
            if not missing:
                break
            shown, unshown = _replaced(shown, missing), True
        raise NotTypeset(found.stderr.decode(errors="replace")[:2000])


def _lay_out(root: Path, template: Path, pictures: Mapping[str, bytes]) -> None:
    size = sum(map(len, pictures.values()))
    if len(pictures) > MOST_PICTURES or size > LARGEST_PICTURES:
        raise NotTypeset(f"{len(pictures)} pictures with {size} bytes are too much.")
    copy(template, root / template.name)
    copy(HOUSE / "house.typ", root / "house.typ")
    copytree(HOUSE / "marks", root / "marks")
    (root / "pictures").mkdir()
    for name, content in pictures.items():
        if not _PICTURE.fullmatch(name):
            raise NotTypeset(f"“{name}” is no name for a picture.")
        (root / "pictures" / name).write_bytes(content)


def _write(root: Path, data: Mapping) -> None:
    text = json.dumps(data, ensure_ascii=False).encode()
    if len(text) > LONGEST_DATA:
        raise NotTypeset(f"{len(text)} bytes of data are too much.")
    (root / "data.json").write_bytes(text)


def _run(main: Path) -> subprocess.CompletedProcess:
    # Isolated: the other process sees nothing of the site but this file and the typesetter.
    command = [sys.executable, "-I", __file__, str(main), str(HOUSE / "fonts")]
    try:
        return subprocess.run(command, capture_output=True, timeout=SECONDS, env={})
    except subprocess.TimeoutExpired as late:
        raise NotTypeset(f"It took longer than {SECONDS} seconds.") from late


def _missing(said: bytes) -> set[str]:
    """The pieces of text that no typeface could show, as typst quotes them."""
    quoted = _UNSHOWN.findall(said.decode(errors="replace"))
    return {_ESCAPED.sub(lambda hit: chr(int(hit[1], 16)), text) for text in quoted}


def _replaced(value: Any, missing: set[str]) -> Any:
    pattern = "|".join(map(re.escape, sorted(missing, key=len, reverse=True)))
    return _mapped(value, lambda text: re.sub(pattern, STAND_IN, text))


def _without_controls(value: Any) -> Any:
    return _mapped(value, _printable)


def _printable(text: str) -> str:
    """Text without control characters, surrogates and other codes that stand for no letter."""
    return "".join(
        letter
        for letter in text
        if letter in "\n\t" or unicodedata.category(letter) not in ("Cc", "Cs", "Cn")
    )


def _mapped(value: Any, change: Callable[[str], str]) -> Any:
    """The same document with each text in it changed."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, Mapping):
        return {name: _mapped(one, change) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_mapped(one, change) for one in value]
    return value


def _compile(main: str, fonts: str) -> None:
    """What the other process does: the PDF to standard output, or what is wrong to standard error."""
    import resource

    import typst

    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    try:
        pdf = typst.compile(
            main, root=str(Path(main).parent), font_paths=[fonts], pdf_standards="ua-1"
        )
    except typst.TypstError as error:
        sys.exit(error.diagnostic or error.message)
    sys.stdout.buffer.write(pdf)


if __name__ == "__main__":
    _compile(*sys.argv[1:])
