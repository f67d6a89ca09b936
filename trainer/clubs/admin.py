from django.contrib import admin

from trainer.clubs.models import Club, Invitation, Membership


@admin.register(Club)
class ClubAdmin(admin.ModelAdmin):
    list_display = ["name", "slug"]
    search_fields = ["name"]
    prepopulated_fields = {"slug": ["name"]}


@admin.register(Membership)
class MembershipAdmin(admin.ModelAdmin):
    list_display = ["user", "club", "role", "since"]
    list_filter = ["role"]
    list_select_related = ["user", "club"]
    search_fields = ["user__name", "user__email", "club__name"]
    autocomplete_fields = ["user", "club"]


@admin.register(Invitation)
class InvitationAdmin(admin.ModelAdmin):
    """The code is a key to the club, so it is not listed."""

    list_display = ["club", "role", "places", "used", "expires_at", "made_by"]
    list_filter = ["role"]
    list_select_related = ["club", "made_by"]
    search_fields = ["club__name"]
    autocomplete_fields = ["club", "made_by"]
