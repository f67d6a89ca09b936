"""What a mentor writes as Markdown, as a tree of plain values for a typesetter.

It holds what the site's own HTML may hold (rich.TAGS) and nothing else: text is text, links lead where the site
lets them lead.
"""

from __future__ import annotations

from urllib.parse import urlsplit

from markdown_it.tree import SyntaxTreeNode

from trainer.study.rich import SCHEMES, parse

KINDS = {
    "paragraph": "p",
    "em": "em",
    "strong": "strong",
    "bullet_list": "list",
    "ordered_list": "numbers",
    "list_item": "item",
    "blockquote": "quote",
    "heading": "heading",
}
BREAKS = {"softbreak", "hardbreak"}
WORDS = {"text", "code_inline", "code_block", "fence", "text_special"}


def tree(text: str) -> list[dict]:
    """Nodes as {"kind", "of"}, or {"kind": "text", "text"}; see `rich` in trainer/print/house.typ."""
    return _nodes(SyntaxTreeNode(parse(text)).children)


def _nodes(children) -> list[dict]:
    return [made for node in children for made in _node(node)]


def _node(node: SyntaxTreeNode) -> list[dict]:
    if node.type in WORDS:
        return [{"kind": "text", "text": node.content}] if node.content else []
    if node.type in BREAKS:
        return [{"kind": "break"}]
    inside = _nodes(node.children)
    if node.type == "link" and urlsplit(node.attrs["href"]).scheme in SCHEMES:
        return [{"kind": "link", "url": node.attrs["href"], "of": inside}]
    if node.type not in KINDS or (node.type == "paragraph" and node.hidden):
        # An image that Markdown names is shown nowhere; what else is unknown keeps its words.
        return [] if node.type == "image" else inside
    more = {"start": node.attrs.get("start", 1)} if node.type == "ordered_list" else {}
    return [{"kind": KINDS[node.type], "of": inside, **more}]
