"""JSON from elsewhere, without what makes readers differ or stumble; and its schema, read to the letter."""

from __future__ import annotations

import json
import re
from typing import Any

from django.utils.translation import gettext as _
from jsonschema import Draft202012Validator, ValidationError
from jsonschema.validators import extend

from quizzes.bundles.refusals import BadBundle

LARGEST = 6 * 1024 * 1024
"""Bytes of a document. A module of forty lessons with a hundred classes has one million."""
DEEPEST = 24
"""Lists and objects in one another; a module has nine."""
LARGEST_NUMBER = 2**53
"""Beyond it a number is not the same in every program."""


def read(data: bytes, name: str) -> Any:
    """The document in some bytes. Raises BadBundle that says what is wrong with it."""
    if len(data) > LARGEST:
        raise _refused(name, _("is too long to be read"))
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        raise _refused(name, _("is no text in UTF-8")) from None
    if _depth(text) > DEEPEST:
        raise _refused(name, _("is nested too deep"))
    try:
        return json.loads(
            text,
            object_pairs_hook=lambda pairs: _object(pairs, name),
            parse_constant=lambda word: _no_number(word, name),
            parse_int=lambda digits: _number(digits, name, int),
            parse_float=lambda digits: _number(digits, name, float),
        )
    except json.JSONDecodeError as error:
        where = _("is no JSON: line %(line)s, column %(column)s")
        values = {"line": error.lineno, "column": error.colno}
        raise _refused(name, where % values) from None


def _depth(text: str) -> int:
    """How deep brackets stand in one another, strings aside."""
    deepest = depth = 0
    in_string = is_escaped = False
    for sign in text:
        if in_string:
            if is_escaped:
                is_escaped = False
            elif sign == "\\":
                is_escaped = True
            elif sign == '"':
                in_string = False
        elif sign == '"':
            in_string = True
        elif sign in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif sign in "]}":
            depth -= 1
    return deepest


def _object(pairs: list, name: str) -> dict:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise _refused(name, _("names one thing twice in the same place"))
    for value in (*found, *found.values()):
        _check_text(value, name)
    return found


def _check_text(value, name: str) -> None:
    """No NUL and no half of a sign, which no database keeps."""
    if isinstance(value, list):
        for one in value:
            _check_text(one, name)
    elif isinstance(value, str) and (
        "\0" in value or any("\ud800" <= sign <= "\udfff" for sign in value)
    ):
        raise _refused(name, _("holds signs that are no text"))


def _number(digits: str, name: str, kind):
    if len(digits) > 40 or abs(kind(digits)) > LARGEST_NUMBER:
        raise _no_number(digits[:20], name)
    return kind(digits)


def _no_number(word: str, name: str):
    raise _refused(name, _("holds the number %(word)s") % {"word": word})


def _refused(name: str, why: str) -> BadBundle:
    text = _("“%(name)s” %(why)s.")
    return BadBundle(text, code="json", params={"name": name, "why": why})


# the schema


def _is_integer(_checker, value) -> bool:
    """JSON Schema takes 3.0 for a whole number; what counts or finds a place with it here does not."""
    return isinstance(value, int) and not isinstance(value, bool)


def _pattern(_validator, pattern: str, value, _schema):
    """In JSON Schema "$" is the end of the text; in Python a line's end may follow it."""
    whole = re.sub(r"\$$", r"\\Z", pattern)
    if isinstance(value, str) and not re.search(whole, value):
        yield ValidationError(f"{value!r} does not match {pattern!r}")


Validator = extend(
    Draft202012Validator,
    validators={"pattern": _pattern},
    type_checker=Draft202012Validator.TYPE_CHECKER.redefine("integer", _is_integer),
)
