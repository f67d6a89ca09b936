"""What a bundle knows of each kind of exercise, by the kind's name.

Kinds that ask on a sheet are carried as they are; any other has a line in OWN. A kind with neither stays here.
"""

from __future__ import annotations

from quizzes.bundles import critique, examination, placing, two
from quizzes.bundles.sheets import SheetBundle
from quizzes.kinds import REGISTERED, kind_named
from quizzes.kinds.sheets.kind import SheetKind

OWN = {
    "placing": placing,
    "critique": critique,
    "examination": examination,
    "two": two,
}


def _of(slug: str):
    kind = kind_named(slug)
    return SheetBundle(kind) if isinstance(kind, SheetKind) else OWN.get(slug)


KINDS = {slug: one for slug in REGISTERED if (one := _of(slug))}
