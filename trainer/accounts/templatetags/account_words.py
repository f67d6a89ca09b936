"""What the account pages say of their limits."""

from allauth.account import app_settings
from django import template

register = template.Library()


@register.simple_tag
def code_minutes() -> int:
    """How many minutes the code that confirms an address works."""
    return app_settings.EMAIL_VERIFICATION_BY_CODE_TIMEOUT // 60
