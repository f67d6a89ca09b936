"""Addresses of the plates; the pages are those of every sheet."""

from django.urls import path

from quizzes.kinds.eye import plates

urlpatterns = [
    path(
        "attempts/<int:pk>/eye/<slug:row>.svg", plates.attempt_plate, name="eye-plate"
    ),
    path(
        "workshop/eye/<int:pk>/<slug:row>.svg",
        plates.draft_plate,
        name="eye-draft-plate",
    ),
]
