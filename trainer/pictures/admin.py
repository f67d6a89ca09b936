from django.contrib import admin
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from trainer.pictures import services
from trainer.pictures.models import Picture


@admin.register(Picture)
class PictureAdmin(admin.ModelAdmin):
    """The record of a photograph. Files come in and go through the services alone."""

    list_display = [
        "public_id",
        "title",
        "club",
        "uploaded_by",
        "uploaded_at",
        "licence",
        "consent_at",
        "withdrawn_at",
    ]
    list_filter = ["licence", ("withdrawn_at", admin.EmptyFieldListFilter)]
    list_select_related = ["club", "uploaded_by"]
    search_fields = ["public_id", "title", "club__name", "credit", "rights_holder"]
    fields = [
        "title",
        "alt",
        "made",
        "credit",
        "rights_holder",
        "licence",
        "club",
        "uploaded_by",
        "uploaded_at",
        "width",
        "height",
        "bytes",
        "edition",
        "said",
        "sha256",
        "consent_by",
        "consent_at",
        "consent_words",
        "consent_until",
        "withdrawn_at",
    ]
    readonly_fields = fields[6:]
    actions = ["withdraw"]

    def has_add_permission(self, request):
        return False

    def has_delete_permission(self, request, obj=None):
        return False

    @admin.action(description=_("Withdraw and erase"), permissions=["change"])
    def withdraw(self, request, queryset):
        for picture in queryset:
            services.withdraw(picture, now=timezone.now(), by=request.user)
