"""Addresses of this kind's own pages; the common ones are in quizzes/urls.py."""

from django.urls import path

from quizzes.kinds.critique import builder, player

urlpatterns = [
    # a trainee's open attempt
    path("attempts/<int:pk>/critique/", player.write, name="critique-write"),
    # a mentor's exercise
    path("workshop/critiques/new/", builder.critique_new, name="critique-new"),
    path(
        "workshop/critiques/<int:pk>/task/", builder.critique_task, name="critique-task"
    ),
    path(
        "workshop/critiques/<int:pk>/print/",
        builder.critique_print,
        name="critique-print",
    ),
    path("workshop/critiques/<int:pk>/key/", builder.critique_key, name="critique-key"),
]
