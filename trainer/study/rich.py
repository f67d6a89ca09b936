"""What a mentor writes as Markdown, as safe HTML; and terms of the trade explained where they occur."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cached_property, lru_cache
from html.parser import HTMLParser

import nh3
from django.utils.html import escape, format_html, linebreaks
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import slugify
from markdown_it import MarkdownIt
from markdown_it.token import Token

TAGS = {"p", "br", "em", "strong", "ul", "ol", "li", "blockquote", "h3", "h4", "a"}
ATTRIBUTES = {"a": {"href"}}
SCHEMES = {"https", "http", "mailto"}
REL = "noopener noreferrer"
NOT_EXPLAINED_IN = {"a", "h3", "h4"}

# The page has its own headings above: a mentor's largest is a third one.
HEADINGS = {"h1": "h3", "h2": "h3", "h3": "h4", "h4": "h4", "h5": "h4", "h6": "h4"}
_markdown = MarkdownIt("commonmark", {"html": False, "breaks": True})


def parse(text: str) -> list[Token]:
    return _markdown.parse(text)


@lru_cache(maxsize=512)
def rendered(text: str) -> SafeString:
    """Markdown as HTML with nothing in it but words, lists, quotes, headings and links."""
    tokens = parse(text)
    for token in tokens:
        token.tag = HEADINGS.get(token.tag, token.tag)
    html = _markdown.renderer.render(tokens, _markdown.options, {})
    clean = nh3.clean(
        html, tags=TAGS, attributes=ATTRIBUTES, url_schemes=SCHEMES, link_rel=REL
    )
    return mark_safe(clean)


class Glossary:
    """The terms of a revision, found in texts by any of their spellings."""

    def __init__(self, terms: Sequence):
        self.terms = list(terms)
        self.by_spelling = {
            spelling.lower(): term for term in terms for spelling in term.spellings
        }

    @cached_property
    def _pattern(self) -> re.Pattern | None:
        # The longest first, so that "point of shoulder" is not taken for "shoulder".
        spellings = sorted(self.by_spelling, key=len, reverse=True)
        if not spellings:
            return None
        words = "|".join(re.escape(one) for one in spellings)
        return re.compile(rf"(?<!\w)(?:{words})(?!\w)", re.IGNORECASE)

    def explained(self, html: str) -> SafeString:
        """HTML that is safe already, each term in it a button where it occurs first."""
        if self._pattern is None:
            return mark_safe(html)
        marker = _Marker(self)
        marker.feed(html)
        marker.close()
        return mark_safe("".join(marker.out))

    def text(self, plain: str) -> SafeString:
        """Plain text as paragraphs, with its terms explained."""
        return self.explained(linebreaks(plain, autoescape=True))

    def line(self, plain: str) -> SafeString:
        """Plain text on one line, with its terms explained."""
        return self.explained(escape(plain))

    def terms_in(self, text: str) -> list:
        """The terms that occur in a plain text, in whatever spelling."""
        return [self.by_spelling[found.lower()] for found in self._found(text)]

    def found_in(self, text: str, names) -> tuple[str, ...]:
        """The words of a plain text that are one of these terms, as they stand there."""
        found = {
            self.by_spelling[words.lower()].name: words for words in self._found(text)
        }
        return tuple(words for name, words in found.items() if name in names)

    def _found(self, text: str) -> list[str]:
        return self._pattern.findall(text) if self._pattern else []

    def used_in(self, html: str) -> list:
        """The terms that have a button in this HTML."""
        ids = set(re.findall(r'popovertarget="(term-[\w-]+)"', html))
        return [term for term in self.terms if term_id(term) in ids]


def term_id(term) -> str:
    return f"term-{slugify(term.name) or term.number}"


class _Marker(HTMLParser):
    """Copies HTML as it is, with a button around the first occurrence of each term."""

    def __init__(self, glossary: Glossary):
        super().__init__(convert_charrefs=False)
        self.glossary, self.out = glossary, []
        self.seen: set[str] = set()
        self.inside: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.out.append(self.get_starttag_text())
        if tag in NOT_EXPLAINED_IN:
            self.inside.append(tag)

    def handle_endtag(self, tag):
        self.out.append(f"</{tag}>")
        if self.inside and self.inside[-1] == tag:
            self.inside.pop()

    def handle_startendtag(self, tag, attrs):
        self.out.append(self.get_starttag_text())

    def handle_entityref(self, name):
        self.out.append(f"&{name};")

    def handle_charref(self, name):
        self.out.append(f"&#{name};")

    def handle_data(self, data):
        if self.inside:
            self.out.append(data)
        else:
            self.out.append(self.glossary._pattern.sub(self._button, data))

    def _button(self, match: re.Match) -> str:
        term = self.glossary.by_spelling[match.group().lower()]
        if term.name in self.seen:
            return match.group()
        self.seen.add(term.name)
        return format_html(
            '<button type="button" class="term" popovertarget="{}">{}</button>',
            term_id(term),
            mark_safe(match.group()),
        )


def plain(text: str) -> str:
    """The words of a Markdown text, for lists and comparisons."""
    return " ".join(re.sub(r"<[^>]+>", " ", rendered(text)).split())
