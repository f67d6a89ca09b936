#!/usr/bin/env python
"""Django's command line for this project."""

import os
import secrets
import sys

# These commands touch neither database nor sessions: they need no settings to be made first.
WITHOUT_SETTINGS = {"grade_sheet"}

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trainer.settings")
    if WITHOUT_SETTINGS.intersection(sys.argv[1:2]):
        os.environ.setdefault("TRAINER_SECRET_KEY", secrets.token_urlsafe(48))
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
