"""What mentors write, on a page: with its terms explained."""

from django import template

from trainer.study import rich

register = template.Library()
register.filter("term_id", rich.term_id)


@register.filter
def explained(text: str, glossary: rich.Glossary):
    """Plain text as paragraphs, the terms of the module in it as buttons."""
    return glossary.text(text)


@register.filter
def rich_text(text: str, glossary: rich.Glossary):
    """A lesson's Markdown as HTML, the terms of the module in it as buttons."""
    return glossary.explained(rich.rendered(text))
