"""What a draft changes in a sheet that is in force, and every text of it."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext


def sheet_differences(kind, before, after) -> list[str]:
    """Rows that came, went or changed, a sentence each."""
    (old, old_key), (new, new_key) = (
        (kind.sheet(content), kind.key(key)) for content, key in (before, after)
    )
    gone = [row for row in old if row.id not in new.by_id]
    found = [_("Taken out: %(name)s.") % {"name": kind.named(row)} for row in gone]
    for n, row in enumerate(new, start=1):
        values = {"n": n, "name": kind.named(row)}
        was = old.by_id.get(row.id)
        if was is None:
            found.append(_("New, number %(n)s: %(name)s.") % values)
            continue
        if was != row:
            found.append(_("Number %(n)s is asked otherwise: %(name)s.") % values)
        if kind.known_of(old_key, was) != kind.known_of(new_key, row):
            found.append(_("Number %(n)s has another key: %(name)s.") % values)
    stayed = [row.id for row in new if row.id in old.by_id]
    if stayed != [row.id for row in old if row.id in new.by_id]:
        found.append(_("The order of the rows."))
    if (old.mixed, old.more) != (new.mixed, new.more):
        found.append(_("How the whole sheet is asked."))
    return found


def sheet_texts(kind, content, key) -> dict:
    """The texts of each row and of its key."""
    sheet, key = kind.sheet(content), kind.key(key)
    return {
        f"{row.id}-{name}": ((where, name.replace("_", " ")), text)
        for n, row in enumerate(sheet, start=1)
        for where in [ngettext("Row %(n)s", "Row %(n)s", n) % {"n": n}]
        for part in (row, kind.known_of(key, row))
        for name, text in part.texts()
    }
