"""Addresses of this kind's own pages; the common ones are in quizzes/urls.py."""

from django.urls import path

from quizzes.kinds.two import builder, paper_form, player

urlpatterns = [
    # a trainee's open attempt
    path("attempts/<int:pk>/pairs/", player.choose, name="two-choose"),
    path(
        "attempts/<int:pk>/pairs/<int:number>/<int:side>.svg",
        player.plate,
        name="two-plate",
    ),
    # a mentor's exercise
    path("workshop/pairs/new/", builder.two_new, name="two-new"),
    path("workshop/pairs/<int:pk>/", builder.two_task, name="two-task"),
    path("workshop/pairs/<int:pk>/print/", paper_form.two_print, name="two-print"),
    path(
        "workshop/pairs/<int:pk>/<slug:which>-<int:side>.svg",
        builder.two_example,
        name="two-example",
    ),
]
