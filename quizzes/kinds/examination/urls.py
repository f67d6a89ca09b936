"""Addresses of examinations from memory."""

from django.urls import path

from quizzes.kinds.examination import builder, rehearsing

urlpatterns = [
    # the trainee's
    path("classes/from-memory/<int:pk>/", rehearsing.from_memory, name="from-memory"),
    # the mentor's
    path("workshop/examinations/new/", builder.examination_new, name="examination-new"),
    path(
        "workshop/examinations/<int:pk>/",
        builder.examination_parts,
        name="examination-parts",
    ),
    path(
        "workshop/examinations/<int:pk>/print/",
        builder.examination_print,
        name="examination-print",
    ),
]
