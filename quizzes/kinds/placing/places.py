"""Places and cuts as they are said and written."""

from django.contrib.humanize.templatetags.humanize import apnumber
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

ENDINGS = {1: "st", 2: "nd", 3: "rd"}


def ordinal(place: int) -> str:
    """The place as on its marker: "1st". A language that writes "1." leaves the ending out."""
    teen = place % 100 in (11, 12, 13)
    ending = "th" if teen else ENDINGS.get(place % 10, "th")
    pattern = pgettext("place: number and English ending", "%(n)s%(ending)s")
    return pattern % {"n": place, "ending": ending}


def count_word(n: int) -> str:
    """How many, as a word, so that it isn't read as an armband; in figures from ten on."""
    return str(apnumber(n))


def cut_word(cut: int) -> str:
    """How easily two dogs with that cut between them are told apart."""
    if cut <= 3:
        return _("close")
    return _("moderate") if cut <= 5 else _("easy")
