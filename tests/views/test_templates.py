"""Every template compiles, also those that no other test happens to show."""

from pathlib import Path

import pytest
from django.conf import settings
from django.template.loader import get_template

FOLDER = Path(settings.BASE_DIR) / "templates"
NAMES = sorted(
    str(path.relative_to(FOLDER)) for path in FOLDER.rglob("*") if path.is_file()
)


def test_there_are_templates():
    assert len(NAMES) > 50


@pytest.mark.parametrize("name", NAMES)
def test_template_compiles(name):
    assert get_template(name)
