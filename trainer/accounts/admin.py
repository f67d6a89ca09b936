import allauth.mfa.admin  # noqa: F401 (registers what is replaced here)
from allauth.mfa.models import Authenticator
from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.utils.translation import gettext_lazy as _

from trainer.accounts.models import User


@admin.register(User)
class PersonAdmin(UserAdmin):
    list_display = ["email", "name", "is_active", "is_staff", "last_login"]
    search_fields = ["email", "name"]
    ordering = ["email"]
    fieldsets = [
        (None, {"fields": ["email", "name", "theme", "password"]}),
        (
            _("Powers"),
            {
                "fields": [
                    "is_active",
                    "is_staff",
                    "is_superuser",
                    "groups",
                    "user_permissions",
                ]
            },
        ),
        (_("Dates"), {"fields": ["last_login", "date_joined"]}),
    ]
    add_fieldsets = [(None, {"fields": ["email", "name", "password1", "password2"]})]
    readonly_fields = ["last_login", "date_joined"]


class SecondStepAdmin(admin.ModelAdmin):
    """To take a lost second step from a person. Its secret is shown to nobody."""

    list_display = ["user", "type", "created_at", "last_used_at"]
    list_select_related = ["user"]
    search_fields = ["user__email", "user__name"]
    fields = readonly_fields = ["user", "type", "created_at", "last_used_at"]

    def has_add_permission(self, request):
        return False


admin.site.unregister(Authenticator)
admin.site.register(Authenticator, SecondStepAdmin)
