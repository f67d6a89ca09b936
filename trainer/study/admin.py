from django.contrib import admin
from django.db import models

from trainer.admin_site import FrozenOncePublished
from trainer.study.models import (
    Breed,
    Fault,
    Module,
    ModuleRevision,
    Phrase,
    Priority,
    Step,
)


@admin.register(Breed)
class BreedAdmin(admin.ModelAdmin):
    list_display = ["name", "slug"]
    search_fields = ["name"]
    prepopulated_fields = {"slug": ["name"]}


@admin.register(Module)
class ModuleAdmin(admin.ModelAdmin):
    list_display = ["breed", "club", "slug"]
    list_select_related = ["breed", "club"]
    search_fields = ["breed__name", "club__name", "slug"]
    autocomplete_fields = ["breed", "club"]


@admin.register(ModuleRevision)
class ModuleRevisionAdmin(FrozenOncePublished, admin.ModelAdmin):
    list_display = ["title", "module", "number", "state", "author", "published_at"]
    list_filter = ["state"]
    formfield_overrides = {models.URLField: {"assume_scheme": "https"}}
    list_select_related = ["module__breed", "module__club", "author"]
    search_fields = ["title", "module__slug"]
    autocomplete_fields = ["module", "author"]


class PartAdmin(FrozenOncePublished, admin.ModelAdmin):
    """Rows of a revision: priorities, steps, faults."""

    list_display = ["name", "number", "revision"]
    list_select_related = ["revision"]
    search_fields = ["name", "revision__title"]
    autocomplete_fields = ["revision"]


class PhraseInline(admin.TabularInline):
    model = Phrase
    extra = 0


@admin.register(Priority)
class PriorityAdmin(PartAdmin):
    list_display = ["name", "number", "weight", "revision"]
    inlines = [PhraseInline]


@admin.register(Step, Fault)
class StepOrFaultAdmin(PartAdmin):
    autocomplete_fields = ["revision", "priority"]
