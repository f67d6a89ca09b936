from django.contrib import admin

from quizzes.models import Attempt, Exercise, Grade, Revision, Tally
from trainer.admin_site import FrozenOncePublished


@admin.register(Exercise)
class ExerciseAdmin(admin.ModelAdmin):
    list_display = ["pk", "kind", "club", "module", "made_by"]
    list_filter = ["kind"]
    list_select_related = ["club", "module__breed", "module__club", "made_by"]
    search_fields = ["club__name", "module__breed__name"]
    autocomplete_fields = ["club", "module", "made_by"]


@admin.register(Revision)
class RevisionAdmin(FrozenOncePublished, admin.ModelAdmin):
    list_display = ["title", "exercise", "number", "state", "handed_in", "edited_at"]
    list_filter = ["state", "difficulty"]
    list_select_related = ["exercise"]
    search_fields = ["title"]
    autocomplete_fields = ["exercise", "module_revision", "edited_by"]


@admin.register(Attempt)
class AttemptAdmin(admin.ModelAdmin):
    list_display = ["revision", "trainee", "state", "preview", "handed_in_at"]
    list_filter = ["state", "preview"]
    list_select_related = ["revision", "trainee"]
    search_fields = ["revision__title", "trainee__name", "trainee__email"]
    autocomplete_fields = ["revision", "trainee"]


@admin.register(Grade)
class GradeAdmin(admin.ModelAdmin):
    list_display = ["attempt", "revision", "pairs_agreed", "pairs_counted", "graded_at"]
    list_select_related = ["attempt__trainee", "attempt__revision", "revision"]
    search_fields = ["attempt__trainee__name", "revision__title"]
    autocomplete_fields = ["attempt", "revision"]


@admin.register(Tally)
class TallyAdmin(admin.ModelAdmin):
    list_display = ["revision", "item", "value", "count"]
    list_select_related = ["revision"]
    search_fields = ["revision__title"]
    autocomplete_fields = ["revision"]
