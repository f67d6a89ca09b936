"""Addresses of this kind's own pages; the common ones are in quizzes/urls.py."""

from django.urls import path

from quizzes.kinds.placing import (
    builder,
    compare,
    paper_form,
    pictures,
    player,
    reasons,
    rulings,
)

urlpatterns = [
    # a trainee's open attempt
    path("attempts/<int:pk>/board/", player.board, name="placing-board"),
    path("attempts/<int:pk>/save/", player.save, name="placing-save"),
    path("attempts/<int:pk>/rulings/", rulings.rulings, name="placing-rulings"),
    path(
        "attempts/<int:pk>/rulings/<slug:dog>/", rulings.ruling, name="placing-ruling"
    ),
    path("attempts/<int:pk>/reasons/", reasons.reasons, name="placing-reasons"),
    path("attempts/<int:pk>/compare/", compare.compare, name="placing-compare"),
    path("attempts/<int:pk>/more-time/", player.more_time, name="placing-more-time"),
    path(
        "attempts/<int:pk>/plates/<slug:dog>.svg", pictures.plate, name="placing-plate"
    ),
    path(
        "attempts/<int:pk>/overlays/<slug:first>/<slug:second>.svg",
        pictures.overlay,
        name="placing-overlay",
    ),
    # a mentor's class
    path("workshop/classes/new/", builder.class_new, name="placing-new"),
    path("workshop/classes/<int:pk>/dogs/", builder.class_dogs, name="placing-dogs"),
    path(
        "workshop/classes/<int:pk>/print/", paper_form.class_print, name="placing-print"
    ),
    path("workshop/classes/<int:pk>/key/", builder.class_key, name="placing-key"),
    path(
        "workshop/classes/<int:pk>/plates/<slug:dog>.svg",
        pictures.draft_plate,
        name="placing-draft-plate",
    ),
]
