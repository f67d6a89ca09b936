"""Certificates as a PDF: one page of A4 across for each."""

from __future__ import annotations

import base64
from collections.abc import Iterable
from datetime import date
from pathlib import Path

import segno
from django.template.defaultfilters import date as said_date
from django.utils.formats import number_format
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from trainer.seminars.erasing import GONE
from trainer.seminars.models import Certificate, Seminar
from trainer.typeset import typeset

TEMPLATES = Path(__file__).parent / "print"
EMBLEM = "emblem.jpg"


def pdf(seminar: Seminar, certificates: Iterable[Certificate], address) -> bytes:
    """Those certificates of the seminar. Raises NotTypeset.

    address : the whole address of the page that checks a certificate, from its code
    """
    shown = [one for one in certificates if not one.says.get(GONE)]
    data = {
        "lang": get_language(),
        "title": _("Certificate of attendance"),
        "pages": [_page(one, address(one.code)) for one in shown],
        "emblem": EMBLEM if seminar.emblem else "",
        "words": {
            "certificate": _("Certificate of attendance"),
            "attended": _("attended"),
            "withdrawn": _("Withdrawn. This certificate holds no more."),
            "parts": _("Parts, hours"),
            "hours": _("In all"),
            "with": _("With"),
            "said": _("From the club"),
            "mentor": _("Mentor"),
            "for-club": _("For the club"),
            "check": _("Whether it still holds stands at"),
            "qr": _("Code that leads to the page that checks this certificate"),
            "emblem": _("Emblem of the club"),
            "unshown": _("A box stands for a letter that no typeface here has."),
        },
    }
    pictures = {EMBLEM: base64.b64decode(seminar.emblem)} if seminar.emblem else {}
    return typeset(TEMPLATES / "certificate.typ", data, pictures)


def _page(certificate: Certificate, url: str) -> dict:
    said = certificate.says
    return {
        **{name: said[name] for name in ("name", "seminar", "club", "words", "claim")},
        "when": when(said),
        "where": _("Online") if said["online"] else said["place"],
        "hours": hours_said(said["hours"]),
        "mentors": ", ".join(said.get("mentors", [])),
        "parts": [
            {**part, "hours": number_said(part["hours"])} for part in said["parts"]
        ],
        "number": _("Number %(n)s, %(club)s, issued %(day)s")
        % {
            "n": certificate.number,
            "club": said["club"],
            "day": said_date(certificate.issued_at, "j F Y"),
        },
        "withdrawn": certificate.withdrawn_at is not None,
        "url": url,
        "qr": qr_svg(url),
    }


def when(said) -> str:
    """The days of the seminar, by the clock of its place."""
    days = [date.fromisoformat(said[name]) for name in ("first_day", "last_day")]
    return " \N{EN DASH} ".join(dict.fromkeys(said_date(day, "j F Y") for day in days))


def number_said(hours: float) -> str:
    return number_format(int(hours) if hours == int(hours) else hours)


def hours_said(hours: float) -> str:
    """“6.5 hours”, as a sentence has it."""
    text = ngettext("%(hours)s hour", "%(hours)s hours", 1 if hours == 1 else 2)
    return text % {"hours": number_said(hours)}


def qr_svg(url: str) -> str:
    """The address as a QR code for paper: SVG text, which a template sets as a picture."""
    made = segno.make(url, error="m", micro=False)
    return made.svg_inline(border=2, omitsize=True, dark="#000", light="#fff").replace(
        "<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1
    )
