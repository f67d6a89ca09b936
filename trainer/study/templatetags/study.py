"""What mentors write, on a page: with its terms explained."""

from django import template

from trainer.study import rich

register = template.Library()
register.filter("term_id", rich.term_id)


@register.filter
def at(table: dict, key):
    """What the table has under the key; None if it has nothing."""
    return table.get(key)


@register.filter
def explained(text: str, glossary: rich.Glossary):
    """Plain text as paragraphs, the terms of the module in it as buttons."""
    return glossary.text(text)


@register.filter
def explained_line(text: str, glossary: rich.Glossary):
    """Plain text on one line, the terms of the module in it as buttons."""
    return glossary.line(text)


@register.filter
def rich_text(text: str, glossary: rich.Glossary):
    """A lesson's Markdown as HTML, the terms of the module in it as buttons."""
    return glossary.explained(rich.rendered(text))
