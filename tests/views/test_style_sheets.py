"""What the style sheets hold to, as far as it can be read from them."""

import re
from pathlib import Path

from django.conf import settings

SHEETS = {
    path.name: path.read_text(encoding="utf-8")
    for path in (Path(settings.BASE_DIR) / "static/css").glob("*.css")
}
DRAWS = re.compile(r"summary::(?:before|after|marker)[^{]*\{[^}]*border[^-r]")


def test_what_folds_out_has_one_mark_drawn_by_edges():
    """One rule draws it. High contrast keeps edges and drops grounds and pictures."""
    drawn = [name for name, text in SHEETS.items() if DRAWS.search(text)]
    assert drawn == ["base.css"]
    rule = re.search(r"\n  summary \{([^}]*)\}", SHEETS["base.css"])[1]
    assert "list-style: none" in rule
    mark = re.search(r"\n  summary::before \{([^}]*)\}", SHEETS["base.css"])[1]
    assert "border: solid" in mark
    assert "background" not in mark
