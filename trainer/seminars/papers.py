"""Papers for the hall: the roster to sign, badges, answer cards and class sheets. Values; how they look is in print/."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from django.template.defaultfilters import date as said_date
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from quizzes import plates
from quizzes.drawing.dogs import conformation_of
from quizzes.kinds.placing.content import ClassContent, Dog
from quizzes.kinds.placing.pictures import drawn, is_drawn, photograph_ids
from quizzes.kinds.placing.places import ordinal
from trainer.pictures.models import Picture
from trainer.seminars.certificate_paper import qr_svg
from trainer.seminars.models import Attendee, Seminar, Sitting
from trainer.typeset import typeset

TEMPLATES = Path(__file__).parent / "print"
BLANK_ROWS = 12
CARDS = 4


def _common(seminar: Seminar, title: str) -> dict:
    return {
        "lang": get_language(),
        "title": title,
        "seminar": seminar.title,
        "club": seminar.club.name,
        "when": when(seminar),
        "where": _("Online") if seminar.is_online else seminar.place,
    }


def when(seminar: Seminar) -> str:
    """The days, by the clock of the place."""
    days = (
        one.astimezone(seminar.zone).date()
        for one in (seminar.starts_at, seminar.ends_at)
    )
    return " \N{EN DASH} ".join(dict.fromkeys(said_date(one, "j F Y") for one in days))


def _words(**more) -> dict[str, str]:
    return {
        "page": _("Page %(n)s of %(all)s"),
        "unshown": _("A box stands for a letter that no typeface here has."),
        **more,
    }


def roster(seminar: Seminar, people: Iterable[Attendee]) -> bytes:
    """Who has a place, with lines to sign on; rows for who comes without one. Raises NotTypeset."""
    data = _common(seminar, _("Roster")) | {
        "rows": [[one.name, one.number] for one in people],
        "blank": BLANK_ROWS,
        "words": _words(
            name=_("Name"),
            number=_("Number"),
            came=_("In"),
            left=_("Out"),
            signature=_("Signature"),
            also=_("Also here"),
            kept=_(
                "Signed for attendance only. The club keeps it for %(n)s months, then names are taken out."
            )
            % {"n": seminar.months_kept},
        ),
    }
    return typeset(TEMPLATES / "roster.typ", data)


def badges(seminar: Seminar, people: Iterable[Attendee], address) -> bytes:
    """A badge for each, eight on a page. Raises NotTypeset.

    address : the whole address of an attendee's personal link, from their code
    """
    data = _common(seminar, _("Badges")) | {
        "badges": [
            {
                "name": one.name,
                "number": one.number,
                "url": address(one.code),
                "qr": qr_svg(address(one.code)),
            }
            for one in people
        ],
        "words": _words(
            scan=_("Your own way into the room. Do not lend it."),
            qr=_("Code of the personal link"),
        ),
    }
    return typeset(TEMPLATES / "badges.typ", data)


def cards(sitting: Sitting) -> bytes:
    """Blank cards for one class, four on a page to cut. Raises NotTypeset."""
    content = ClassContent.read(sitting.revision.content)
    data = _common(sitting.seminar, sitting.title) | {
        "sitting": sitting.title,
        "armbands": sorted(dog.armband for dog in content),
        "places": _places(content),
        "cards": CARDS,
        "words": _words(
            card=_("Answer card"),
            dogs=_("In the class"),
            name=_("Name"),
            placing=_("Your placing: one number on each line"),
            ruled=_("Excused, disqualified, absent, withheld: which"),
        ),
    }
    return typeset(TEMPLATES / "cards.typ", data)


def class_sheet(sitting: Sitting) -> bytes:
    """The dogs of a class in the order of their numbers, so that nothing tells the key; and room for a placing with
    reasons. Raises NotTypeset.
    """
    content = ClassContent.read(sitting.revision.content)
    pictures: dict[str, bytes] = {}
    club = sitting.revision.exercise.club_id
    photographs = _photographs(content, club)
    dogs = [
        _dog(content, dog, n, photographs, pictures)
        for n, dog in enumerate(sorted(content, key=lambda one: one.armband), start=1)
    ]
    data = _common(sitting.seminar, sitting.title) | {
        "sitting": sitting.title,
        "dogs": dogs,
        "places": _places(content),
        "words": _words(
            by_hand=_("By hand:"),
            placing=_("My placing"),
            ruled=_("Excused, disqualified, absent, withheld: which"),
            reasons=_("Reasons"),
            pairs=_pairs(len(content)),
            over=_("over"),
            because=_("because"),
            grant=_("Grant"),
            name=_("Name"),
            at=_("Handed in at"),
            live=_("Live dogs: look at them in the ring."),
            schematic=_(
                "Drawings are schematic. Where dogs are handled, follow the handler and the rules of the place."
            ),
        ),
    }
    return typeset(TEMPLATES / "class.typ", data, pictures)


def _places(content: ClassContent) -> list[str]:
    last = min(content.places or len(content), len(content))
    return [ordinal(n) for n in range(1, last + 1)]


def _pairs(dogs: int) -> list[str]:
    """What reasons are asked for: of four dogs and more, the first pair, the last and one between."""
    named = [_("Top pair"), _("Bottom pair"), _("Middle pair")]
    if dogs > 3:
        return [named[0], named[2], named[1]]
    return named[: max(dogs - 1, 1)]


def _photographs(content: ClassContent, club_id: int) -> dict[str, Picture]:
    ids = photograph_ids(content, club_id)
    found = Picture.objects.filter(public_id__in=ids) if ids else ()
    return {str(one.public_id): one for one in found}


def _dog(content, dog: Dog, n: int, photographs, pictures) -> dict:
    """One dog; its picture is laid beside the template under its number."""
    said = {
        "armband": dog.armband,
        "ringside": dog.ringside,
        "hands_on": dog.hands_on,
        "credit": dog.credit,
        "file": "",
        "alt": "",
    }
    photograph = photographs.get(str(dog.picture))
    if photograph:
        with photograph.large.open("rb") as file:
            pictures[f"dog-{n}.jpg"] = file.read()
        alt = _("Photograph of %(n)s") % {"n": dog.armband}
        return said | {"file": f"dog-{n}.jpg", "alt": alt}
    if is_drawn(content) and dog.drawn:
        pictures[f"dog-{n}.svg"] = drawn(content, dog, theme="print")
        text = plates.neutral_text(conformation_of(content.breed, dog), "side")
        return said | {"file": f"dog-{n}.svg", "alt": f"{dog.armband}. {text}"}
    return said
