"""How counts and times are said."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext


def pairs_agreed(grade) -> str:
    """ "8 of 10"; in words where no pair counts."""
    if grade is None or not grade.pairs_counted:
        return _("none to compare")
    values = {"agreed": halves(grade.pairs_agreed), "counted": grade.pairs_counted}
    return _("%(agreed)s of %(counted)s") % values


def one_in(chance: float | None) -> str:
    """ "1 in 9" for a probability; "8 in 10" where most random orders do as well; "always" for certain."""
    if not chance:
        return ""
    if chance > 0.95:
        return _("always") if chance > 1 - 1e-9 else _("nearly always")
    if chance > 0.5:
        return _("%(n)s in 10") % {"n": round(chance * 10)}
    if chance < 1e-6:
        return _("1 in more than a million")
    return _("1 in %(n)s") % {"n": f"{round(1 / chance):,}"}


def how_often(chance: float | None) -> str:
    """As one_in, to end a sentence: "1 time in 9", "8 times in 10", "nearly every time"."""
    if not chance:
        return ""
    if chance > 0.95:
        return _("every time") if chance > 1 - 1e-9 else _("nearly every time")
    if chance > 0.5:
        return _("%(n)s times in 10") % {"n": round(chance * 10)}
    if chance < 1e-6:
        return _("less than once in a million times")
    return _("1 time in %(n)s") % {"n": f"{round(1 / chance):,}"}


def whole_number(text: str) -> int:
    """A number that a form sends, such as the version its page was made from; -1 if it is none."""
    return int(text) if text.isdecimal() and len(text) < 10 else -1


def halves(count: float) -> str:
    """A count that may have a half: 8, or 8½."""
    whole, half = divmod(count, 1)
    return f"{int(whole) or ''}½" if half else str(int(whole))


def duration(seconds: int) -> str:
    """A time as it is said: "50 seconds", "1½ minutes", "12 minutes", "4 min 10 s"."""
    minutes, rest = divmod(seconds, 60)
    if not minutes:
        return ngettext("%(n)s second", "%(n)s seconds", rest) % {"n": rest}
    if rest == 0:
        return ngettext("%(n)s minute", "%(n)s minutes", minutes) % {"n": minutes}
    if rest == 30:
        return _("%(n)s½ minutes") % {"n": minutes}
    return _("%(minutes)s min %(seconds)s s") % {"minutes": minutes, "seconds": rest}
