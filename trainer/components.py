"""The smallest pieces of a page as template tags, known to every template.

They stand dozens of times on a page, where an included file would cost five times as much.
"""

from functools import cache

from django import template
from django.conf import settings
from django.templatetags.static import static
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

register = template.Library()


@register.simple_tag
def armband(number, size: str = "") -> SafeString:
    """The number a dog wears. size: "small" or "large"; without it as in a row."""
    more = f" armband-{size}" if size else ""
    return format_html('<span class="armband{}">{}</span>', more, number)


@register.simple_tag
def marker(place, kind: str = "") -> SafeString:
    """A place as it stands in the ring, "3rd" or "2nd =".

    kind : "yours", "free" or "next"; without it the key's
    """
    more = f" marker-{kind}" if kind else ""
    return format_html('<span class="marker{}">{}</span>', more, place)


@register.simple_tag
def mark(name: str) -> SafeString:
    """One line drawing of img/marks.svg in the colour of the text.

    Always beside a word, or inside something that has a label.
    """
    return _mark(name, settings.STATIC_URL)


@cache
def _mark(name: str, _static_url: str) -> SafeString:
    sheet = format_html("{}#{}", static("img/marks.svg"), name)
    return mark_safe(
        f'<svg class="mark" aria-hidden="true" focusable="false"><use href="{sheet}"></use></svg>'
    )
