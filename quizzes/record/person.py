"""What the site keeps of a person beside their attempts: found from the tables themselves, so that none is forgotten."""

from __future__ import annotations

from django.apps import apps
from django.db.models import CASCADE, Field, ManyToManyField

from quizzes.models import Mark, PanelKey
from trainer.accounts.models import User

SECRET = {"data", "code", "key", "session_key", "password"}
"""Columns that would let somebody else in; never in a file."""
APART = {"quizzes.attempt", "quizzes.exercise"}
"""Tables that the document has in a form of its own."""
OWN_WORDS = {
    Mark: ("attempt", "part", "state", "points", "comments", "overall", "saved_at"),
    PanelKey: ("panel", "key", "saved_at", "done_at"),
}
"""What a mentor gave under their own name, which is theirs as much as the club's."""
NAMES = ("title", "name", "slug", "note")


def person(user: User) -> dict:
    return {
        "id": user.pk,
        "name": user.name,
        "email": user.email,
        "look": user.theme,
        "joined": user.date_joined,
        "last_sign_in": user.last_login,
    }


def everything_else(user: User) -> dict:
    """`rows`: what goes with the account; `made`: what they made for a club; `given`: marks and keys by them."""
    own, made = {}, []
    for model, field in relations():
        label = model._meta.label_lower
        if label in APART or model in OWN_WORDS:
            continue
        found = model._base_manager.filter(**{field.name: user}).order_by("pk")
        if field.remote_field.on_delete is CASCADE:
            own.setdefault(label, []).extend(found.values(*_columns(model, field)))
        else:
            made.extend(_made(found, label, field.name))
    return {"rows": own, "made": made, "given": _given(user)}


def relations() -> list[tuple[type, Field]]:
    """Every column of every table that points at a person."""
    return [
        (model, field)
        for model in apps.get_models(include_auto_created=False)
        for field in model._meta.local_fields
        if field.remote_field is not None and field.remote_field.model is User
    ]


def _columns(model, field) -> list[str]:
    """The columns of a row that is the person's own, without the one that says so."""
    return [
        column.attname
        for column in model._meta.local_fields
        if column is not field
        and column.name not in SECRET
        and not isinstance(column, ManyToManyField)
    ]


def _made(found, label: str, role: str) -> list[dict]:
    names = {field.name for field in found.model._meta.local_fields}
    name = next((one for one in NAMES if one in names), "pk")
    return [
        {"what": label, "as": role, "id": pk, "name": str(called)}
        for pk, called in found.values_list("pk", name)
    ]


def _given(user: User) -> dict:
    """The person's own marks and keys, whole."""
    given = {}
    for model, columns in OWN_WORDS.items():
        who = next(field for of, field in relations() if of is model)
        rows = model._base_manager.filter(**{who.name: user}).order_by("pk")
        given[model._meta.label_lower] = list(rows.values("pk", *columns))
    return given
